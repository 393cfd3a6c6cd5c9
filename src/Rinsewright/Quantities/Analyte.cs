namespace Rinsewright.Quantities;

/// <summary>
/// What a concentration is of, and the bases on which reports write it: nitrate "as N", silica "as SiO2",
/// alkalinity "as CaCO3".
/// </summary>
public sealed class Analyte
{
    /// <summary>The basis of hardness and alkalinity; for other ions a way to write equivalents.</summary>
    internal const string CalciumCarbonate = "CaCO3";

    private readonly string[] _bases;
    private readonly double[] _molesPerBasis;

    private Analyte(
        Sentence name,
        double? equivalentsPerMole,
        bool hasOtherCustomaryBasis,
        params (string Formula, double Moles)[] bases
    )
    {
        Name = name;
        EquivalentsPerMole = equivalentsPerMole;
        HasOtherCustomaryBasis = hasOtherCustomaryBasis;
        DefaultBasis = bases[0].Formula;
        if (equivalentsPerMole is { } z && bases.All(b => b.Formula is not CalciumCarbonate))
        {
            bases = [.. bases, (CalciumCarbonate, 2 / z)];
        }

        _bases = [.. bases.Select(b => b.Formula)];
        _molesPerBasis = [.. bases.Select(b => b.Moles)];
    }

    /// <summary>Calcium.</summary>
    public static Analyte Calcium { get; } = new(Sentence.Of("calcium"), 2, false, ("Ca", 1));

    /// <summary>Magnesium.</summary>
    public static Analyte Magnesium { get; } = new(Sentence.Of("magnesium"), 2, false, ("Mg", 1));

    /// <summary>Sodium.</summary>
    public static Analyte Sodium { get; } = new(Sentence.Of("sodium"), 1, false, ("Na", 1));

    /// <summary>Potassium.</summary>
    public static Analyte Potassium { get; } = new(Sentence.Of("potassium"), 1, false, ("K", 1));

    /// <summary>Ammonium, with the ammonia it is in balance with.</summary>
    public static Analyte Ammonium { get; } =
        new(Sentence.Of("ammonium"), 1, true, ("NH4", 1), ("N", 1), ("NH3", 1));

    /// <summary>Dissolved iron, counted as Fe(II).</summary>
    public static Analyte Iron { get; } = new(Sentence.Of("iron"), 2, false, ("Fe", 1));

    /// <summary>Dissolved manganese, counted as Mn(II).</summary>
    public static Analyte Manganese { get; } = new(Sentence.Of("manganese"), 2, false, ("Mn", 1));

    /// <summary>Strontium.</summary>
    public static Analyte Strontium { get; } = new(Sentence.Of("strontium"), 2, false, ("Sr", 1));

    /// <summary>Barium.</summary>
    public static Analyte Barium { get; } = new(Sentence.Of("barium"), 2, false, ("Ba", 1));

    /// <summary>Chloride.</summary>
    public static Analyte Chloride { get; } = new(Sentence.Of("chloride"), 1, false, ("Cl", 1));

    /// <summary>Sulfate.</summary>
    public static Analyte Sulfate { get; } = new(Sentence.Of("sulfate"), 2, false, ("SO4", 1), ("S", 1));

    /// <summary>Nitrate.</summary>
    public static Analyte Nitrate { get; } = new(Sentence.Of("nitrate"), 1, true, ("NO3", 1), ("N", 1));

    /// <summary>Fluoride.</summary>
    public static Analyte Fluoride { get; } = new(Sentence.Of("fluoride"), 1, false, ("F", 1));

    /// <summary>Orthophosphate; its charge depends on pH, so it has no equivalents here.</summary>
    public static Analyte Phosphate { get; } =
        new(Sentence.Of("phosphate"), null, true, ("PO4", 1), ("P", 1), ("P2O5", 2));

    /// <summary>Dissolved silica; in ion exchange it is counted with one equivalent a mole.</summary>
    public static Analyte Silica { get; } = new(Sentence.Of("silica"), 1, false, ("SiO2", 1), ("Si", 1));

    /// <summary>Bicarbonate ion.</summary>
    public static Analyte Bicarbonate { get; } = new(Sentence.Of("bicarbonate"), 1, false, ("HCO3", 1));

    /// <summary>Dissolved carbon dioxide; in ion exchange it is counted with one equivalent a mole.</summary>
    public static Analyte CarbonDioxide { get; } = new(Sentence.Of("carbon dioxide"), 1, false, ("CO2", 1));

    /// <summary>Free chlorine.</summary>
    public static Analyte FreeChlorine { get; } = new(Sentence.Of("free chlorine"), null, false, ("Cl2", 1));

    /// <summary>Combined chlorine (chloramines).</summary>
    public static Analyte CombinedChlorine { get; } =
        new(Sentence.Of("combined chlorine"), null, false, ("Cl2", 1));

    /// <summary>Alkalinity, one equivalent a mole; without a basis it is read as CaCO3.</summary>
    public static Analyte Alkalinity { get; } =
        new(Sentence.Of("alkalinity"), 1, false, (CalciumCarbonate, 2), ("HCO3", 1), ("CO3", 2));

    /// <summary>Hardness: calcium and magnesium, two equivalents a mole; without a basis it is read as CaCO3.</summary>
    public static Analyte Hardness { get; } =
        new(Sentence.Of("hardness"), 2, false, (CalciumCarbonate, 1), ("Ca", 1), ("CaO", 1));

    /// <summary>What it is called.</summary>
    public Sentence Name { get; }

    /// <summary>Equivalents in a mole [eq/mol], or none where the charge is not one number.</summary>
    public double? EquivalentsPerMole { get; }

    /// <summary>The basis meant when a text names none.</summary>
    public string DefaultBasis { get; }

    /// <summary>Whether reports without a basis are often meant on another one (nitrate as N).</summary>
    public bool HasOtherCustomaryBasis { get; }

    /// <summary>The formulas it can be reported as; the first is the default.</summary>
    public IReadOnlyList<string> Bases => _bases;

    /// <summary>Finds the basis that a text after the unit names ("as N", "NO3-N", "Ca2+").</summary>
    internal string? FindBasis(string text)
    {
        string typed = text.Replace(" ", "", StringComparison.Ordinal).Replace('–', '-');
        int dash = typed.LastIndexOf('-');
        if (dash >= 0 && dash < typed.Length - 1 && char.IsAsciiLetter(typed[dash + 1]))
        {
            typed = typed[(dash + 1)..];
        }

        return Array.Find(
            _bases,
            b =>
                typed.StartsWith(b, StringComparison.OrdinalIgnoreCase)
                && typed[b.Length..]
                    is ""
                        or "+"
                        or "-"
                        or "++"
                        or "--"
                        or "2+"
                        or "2-"
                        or "+2"
                        or "-2"
                        or "3-"
                        or "-3"
        );
    }

    /// <summary>Moles [mol/kg] of the analyte in a kilogram of a basis.</summary>
    internal double MolesPerKilogram(string basis) => MolesPerMole(basis) / ChemicalFormula.MolarMass(basis);

    /// <summary>Moles of the analyte in a mole of a basis [mol/mol].</summary>
    internal double MolesPerMole(string basis) => _molesPerBasis[Array.IndexOf(_bases, basis)];
}
