using System.Globalization;
using System.Text.RegularExpressions;
using Rinsewright.Drying;
using Rinsewright.Water;

namespace Rinsewright.Tests.Drying;

/// <summary>Reads the formulas of solids, so that element balances do not rest on the code they check.</summary>
internal static partial class Formulas
{
    // Standard atomic weights, abridged (key iupac2021).
    private static readonly Dictionary<string, double> Weights = new(StringComparer.Ordinal)
    {
        ["H"] = 1.008,
        ["C"] = 12.011,
        ["N"] = 14.007,
        ["O"] = 15.999,
        ["F"] = 18.998,
        ["Na"] = 22.990,
        ["Mg"] = 24.305,
        ["Si"] = 28.085,
        ["P"] = 30.974,
        ["S"] = 32.06,
        ["Cl"] = 35.45,
        ["K"] = 39.098,
        ["Ca"] = 40.078,
        ["Mn"] = 54.938,
        ["Fe"] = 55.845,
        ["Sr"] = 87.62,
        ["Ba"] = 137.327,
    };

    private static readonly Dictionary<Component, string> Groups = new()
    {
        [Component.Calcium] = "Ca",
        [Component.Magnesium] = "Mg",
        [Component.Sodium] = "Na",
        [Component.Potassium] = "K",
        [Component.Ammonium] = "NH4",
        [Component.Iron] = "Fe",
        [Component.Manganese] = "Mn",
        [Component.Strontium] = "Sr",
        [Component.Barium] = "Ba",
        [Component.Chloride] = "Cl",
        [Component.Sulfate] = "SO4",
        [Component.Nitrate] = "NO3",
        [Component.Fluoride] = "F",
        [Component.Phosphate] = "PO4",
        [Component.Silica] = "Si",
    };

    /// <summary>How many of a component one formula unit holds.</summary>
    public static int Count(ResidueSolid solid, Component component)
    {
        if (!Groups.TryGetValue(component, out string? group))
        {
            return 0;
        }

        Match counted = Regex.Match(
            solid.Formula,
            $@"(\({group}\)(?<n>\d+))|({group}(?![a-z])(?<n>\d*))",
            RegexOptions.ExplicitCapture,
            TimeSpan.FromSeconds(1)
        );
        string digits = counted.Groups["n"].Value;
        return !counted.Success ? 0
            : digits.Length == 0 ? 1
            : int.Parse(digits, CultureInfo.InvariantCulture);
    }

    /// <summary>Molar mass of the formula [g/mol].</summary>
    public static double Mass(ResidueSolid solid)
    {
        double mass = 0;
        foreach (string part in solid.Formula.Split('·'))
        {
            int factor = part.TakeWhile(char.IsDigit).Aggregate(0, (n, c) => (10 * n) + (c - '0'));
            mass += Math.Max(1, factor) * Part(part.TrimStart("0123456789".ToCharArray()));
        }

        return mass;
    }

    private static double Part(string formula)
    {
        double mass = 0;
        foreach (Match group in Grouped().Matches(formula))
        {
            mass += Number(group.Groups["n"].Value) * Part(group.Groups["inner"].Value);
        }

        foreach (Match atom in Atom().Matches(Grouped().Replace(formula, "")))
        {
            mass += Number(atom.Groups["n"].Value) * Weights[atom.Groups["symbol"].Value];
        }

        return mass;
    }

    private static int Number(string digits) =>
        digits.Length == 0 ? 1 : int.Parse(digits, CultureInfo.InvariantCulture);

    [GeneratedRegex(@"\((?<inner>[^)]*)\)(?<n>\d*)", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Grouped();

    [GeneratedRegex("(?<symbol>[A-Z][a-z]?)(?<n>\\d*)", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Atom();
}
