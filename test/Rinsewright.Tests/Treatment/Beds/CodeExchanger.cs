using System.Collections.Immutable;
using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>The waters and exchangers of data/reference-codes/phreeqc (README.md there) in the terms of this project.</summary>
internal static class CodeExchanger
{
    public const string Folder = "data/reference-codes/phreeqc";
    private const double LogHydroxide = -1.342423;

    /// <summary>Names of the tables' totals.</summary>
    public static IReadOnlyList<(string Name, Component Component)> Totals { get; } =
    [
        ("Ca", Component.Calcium),
        ("Mg", Component.Magnesium),
        ("Na", Component.Sodium),
        ("K", Component.Potassium),
        ("Cl", Component.Chloride),
        ("SO4", Component.Sulfate),
        ("NO3", Component.Nitrate),
        ("F", Component.Fluoride),
        ("SiO2", Component.Silica),
        ("DIC", Component.InorganicCarbon),
    ];

    /// <summary>A water of a table [mol/m³].</summary>
    public static double[] WaterOf(DataTable.Row row, Func<string, string> column)
    {
        var totals = new double[IonCatalog.ComponentCount];
        foreach ((string name, Component component) in Totals)
        {
            totals[(int)component] = 1e3 * row.Number(column(name));
        }

        return totals;
    }

    /// <summary>An exchanger as a resin: K = K_GT/(2 Q) for a divalent ion, Q in eq/L.</summary>
    /// <param name="kind">cation or anion.</param>
    /// <param name="constants">Set of constants, A or B.</param>
    /// <param name="capacity_eq_L">Capacity of the resin.</param>
    /// <param name="share">Its share of the bed.</param>
    public static Resin Create(string kind, string constants, double capacity_eq_L, double share = 1)
    {
        bool cation = string.Equals(kind, "cation", StringComparison.Ordinal);
        return new Resin(cation ? ResinKind.StrongCation : ResinKind.StrongAnion1, share)
        {
            Capacity = ExchangeCapacity.FromEquivalentsPerLiter(capacity_eq_L),
            Selectivity = LogK(cation, constants)
                .ToImmutableDictionary(
                    k => k.Ion,
                    k => Math.Pow(10, k.LogK) / (Charge(k.Ion) > 1 ? 2 * capacity_eq_L : 1)
                ),
        };
    }

    /// <summary>Log K put into that code, against H or OH.</summary>
    public static IEnumerable<(Component Ion, double LogK)> LogK(bool cation, string constants)
    {
        bool second = string.Equals(constants, "B", StringComparison.Ordinal);
        return cation
            ?
            [
                (Component.Sodium, 0.192861),
                (Component.Potassium, 0.358594),
                (Component.Magnesium, second ? 1.015452 : 0.826784),
                (Component.Calcium, second ? 1.210906 : 1.217692),
            ]
            :
            [
                (Component.Chloride, -LogHydroxide),
                (Component.Fluoride, -1.138303 - LogHydroxide),
                (Component.InorganicCarbon, -0.564271 - LogHydroxide),
                (Component.Nitrate, 0.470491 - LogHydroxide),
                (Component.Silica, -1.388180 - LogHydroxide),
                (Component.Sulfate, -0.397940 - (2 * LogHydroxide)),
            ];
    }

    /// <summary>Charge number of an ion on the exchanger, without sign.</summary>
    public static int Charge(Component ion) => Math.Abs(BedIons.ExchangedForm(ion).Charge);
}
