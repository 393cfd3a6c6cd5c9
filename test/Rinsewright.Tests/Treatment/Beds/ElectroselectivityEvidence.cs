using System.Collections.Immutable;
using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>
/// A divalent ion that follows a monovalent one through a fresh bed at equilibrium: the monovalent front comes at
/// throughput ratio 1 whatever the selectivities, the divalent one at y/x of the mass-action law, which depends on the
/// strength of the water.
/// </summary>
public sealed class ElectroselectivityEvidence : IEvidenceSet
{
    private const double Monovalent = 1500; // against H or OH, so much that those of the water itself take no part

    public IEnumerable<EvidenceRow> Rows()
    {
        List<DataTable.Row> rows =
        [
            .. DataTable.Read("data/published/exchange-theory/electroselectivity.csv").Rows,
        ];
        yield return Row(
            "divalent ion on the resin at equilibrium",
            [.. rows.Select(Isotherm)],
            5e-6,
            "absolute"
        );
        List<(double First, double Second)> fronts = [.. rows.Where(Suits).Select(Fronts)];
        yield return Row(
            "front of the monovalent ion, throughput ratio 1",
            [.. fronts.Select(f => 100 * f.First)],
            0.5,
            "%"
        );
        yield return Row(
            "front of the divalent ion, by the strength of the water",
            [.. fronts.Select(f => 100 * f.Second)],
            0.5,
            "%"
        );
    }

    /// <summary>A few of the table whose fronts stand apart and do not need many bed lives.</summary>
    private static bool Suits(DataTable.Row row) =>
        row.Number("x") == 0.5
        && row.Number("y") / row.Number("x") > 1.2
        && row.Number("C_eq_L") is 0.002 or 0.1;

    private static bool IsCation(DataTable.Row row) =>
        !row.Text("pair").StartsWith("SO4", StringComparison.Ordinal);

    private static ExchangeBed Bed(DataTable.Row row)
    {
        bool cation = IsCation(row);
        return new ExchangeBed(
            Volume.FromLiters(1),
            Length.FromMillimeters(80),
            new Resin(cation ? ResinKind.StrongCation : ResinKind.StrongAnion1, 1)
            {
                Capacity = ExchangeCapacity.FromEquivalentsPerLiter(row.Number("Q_eq_L")),
                Selectivity = new Dictionary<Component, double>
                {
                    [cation ? Component.Sodium : Component.Chloride] = Monovalent,
                    [cation ? Component.Calcium : Component.Sulfate] =
                        row.Number("K") * Monovalent * Monovalent,
                }.ToImmutableDictionary(),
            }
        )
        {
            Equilibrium = true,
            Activities = false,
        };
    }

    private static double[] Feed(DataTable.Row row)
    {
        var totals = new double[IonCatalog.ComponentCount];
        double strength = 1e3 * row.Number("C_eq_L");
        double x = row.Number("x");
        totals[(int)(IsCation(row) ? Component.Calcium : Component.Sulfate)] = strength * x / 2;
        totals[(int)(IsCation(row) ? Component.Sodium : Component.Chloride)] = strength * (1 - x);
        totals[(int)(IsCation(row) ? Component.Chloride : Component.Sodium)] = strength;
        return totals;
    }

    /// <summary>The resin of one slice that stands in a great deal of the water.</summary>
    private static double Isotherm(DataTable.Row row)
    {
        double[] totals = Feed(row);
        var state = new BatchExchange(Bed(row), totals, resinPerWater: 1e-10);
        state.Settle(298.15, activities: false);
        return Math.Abs(
            state.Fraction(0, IsCation(row) ? Component.Calcium : Component.Sulfate) - row.Number("y")
        );
    }

    private static (double First, double Second) Fronts(DataTable.Row row)
    {
        ExchangeBed bed = Bed(row);
        double[] totals = Feed(row);
        var flow = VolumeFlow.FromLitersPerMinute(1);
        var series = new BedSeries([bed], flow, Temperature.FromDegreesCelsius(25));
        double ratio = row.Number("y") / row.Number("x");
        double liters = row.Number("Q_eq_L") / row.Number("C_eq_L");
        Assert.Equal(
            BedRunStatus.Completed,
            series.Advance(
                totals,
                Temperature.FromDegreesCelsius(25),
                flow,
                Volume.FromLiters(1.3 * ratio * liters)
            )
        );
        bool cation = IsCation(row);
        double x = row.Number("x");
        double strength = 1e3 * row.Number("C_eq_L");
        // Half the plateau of the monovalent ion alone, and the middle between nothing and the feed.
        double first = Crossing(
            series.Effluent,
            cation ? Component.Sodium : Component.Chloride,
            strength / 2,
            liters
        );
        double second = Crossing(
            series.Effluent,
            cation ? Component.Calcium : Component.Sulfate,
            strength * x / 4,
            ratio * liters
        );
        return (Math.Abs(first - 1), Math.Abs(second - 1));
    }

    private static double Crossing(EffluentCurve curve, Component ion, double level, double expected)
    {
        double low = 0.85 * expected;
        double high = 1.15 * expected;
        for (int i = 0; i < 40; i++)
        {
            double middle = (low + high) / 2;
            (low, high) = curve.At(ion, Volume.FromLiters(middle)) < level ? (middle, high) : (low, middle);
        }

        return low / expected;
    }

    private static EvidenceRow Row(
        string quantity,
        IReadOnlyList<double> errors,
        double allowed,
        string unit
    ) =>
        new(
            "exchange-bed",
            quantity,
            EvidenceKind.Published,
            "davis2010",
            errors.Count,
            errors.Worst(),
            allowed,
            unit
        );
}
