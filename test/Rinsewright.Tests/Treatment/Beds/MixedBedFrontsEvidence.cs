using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>
/// A wall cartridge's ideal fronts (data/published/exchange-theory/mixed-bed-fronts.csv): each side by stand-ins of constant
/// separation factor, and the two fronts that no selectivity moves with the real ions and both resins together.
/// </summary>
public sealed class MixedBedFrontsEvidence : IEvidenceSet
{
    private const double BedLiters = 3.8;
    private const double CationCapacity_eq = 2.736;
    private const double AnionCapacity_eq = 2.508;
    private const double Narrow = 0.06;

    private static readonly (string Name, double Affinity, double Feed_meq_L)[] Cations =
    [
        ("Ca", 1.9, 2),
        ("Mg", 1.67, 0.8),
        ("K", 1.5, 0.05),
        ("Na", 1, 1.1),
        ("H", 0.67, 0),
    ];

    private static readonly (string Name, double Affinity, double Feed_meq_L)[] Anions =
    [
        ("SO4", 9.1, 0.85),
        ("NO3", 3.2, 0.12),
        ("Cl", 1, 0.98),
        ("HCO3", 0.27, 2.1),
        ("HSiO3", 0.1, 0.15),
        ("OH", 0.0455, 0),
    ];

    public IEnumerable<EvidenceRow> Rows()
    {
        foreach (EvidenceRow row in Side("cation", Cations, "H", CationCapacity_eq))
        {
            yield return row;
        }

        foreach (EvidenceRow row in Side("anion", Anions, "OH", AnionCapacity_eq))
        {
            yield return row;
        }

        (double hydroxide, double hydrogen) = RealIons();
        yield return Row(
            "mixed bed of real ions: silica comes when the OH form is used up",
            1,
            100 * Math.Abs(hydroxide - 1),
            0.5,
            "% of the liters"
        );
        yield return Row(
            "mixed bed of real ions: sodium comes when the H form is used up",
            1,
            100 * Math.Abs(hydrogen - 1),
            0.5,
            "% of the liters"
        );
    }

    private static IEnumerable<EvidenceRow> Side(
        string side,
        IReadOnlyList<(string Name, double Affinity, double Feed_meq_L)> species,
        string start,
        double capacity_eq
    )
    {
        double strength = species.Sum(s => s.Feed_meq_L);
        List<IGrouping<double, DataTable.Row>> fronts =
        [
            .. DataTable
                .Read("data/published/exchange-theory/mixed-bed-fronts.csv")
                .Rows.Where(r => string.Equals(r.Text("side"), side, StringComparison.Ordinal))
                .GroupBy(r => r.Number("V_L") * strength * 1e-3 / capacity_eq),
        ];
        var bed = new StandInBed(
            [
                .. species.Select(s =>
                    (
                        s.Name,
                        s.Affinity,
                        s.Feed_meq_L / strength,
                        string.Equals(s.Name, start, StringComparison.Ordinal) ? 1.0 : 0
                    )
                ),
            ],
            start
        )
        {
            Slices = 400,
            LongestStep = 0.01,
        };
        double end = fronts[^1].Key + 0.3;
        EffluentCurve curve = bed.Run(end).Effluent;
        List<double> volumes = [];
        List<double> levels = [];
        Dictionary<string, double> ahead = species.ToDictionary(
            s => s.Name,
            s => string.Equals(s.Name, start, StringComparison.Ordinal) ? 1.0 : 0,
            StringComparer.Ordinal
        );
        for (int i = 0; i < fronts.Count; i++)
        {
            double at = fronts[i].Key;
            double before = i > 0 ? fronts[i - 1].Key : 0;
            double after = i + 1 < fronts.Count ? fronts[i + 1].Key : end;
            Dictionary<string, double> behind = fronts[i]
                .ToDictionary(
                    r => r.Text("species"),
                    r => r.Number("behind_meq_L") / strength,
                    StringComparer.Ordinal
                );
            // Potassium's band is narrower than a front; the others tell each front just as well.
            string key = behind.Keys.Where(s => s is not "K").MaxBy(s => Math.Abs(behind[s] - ahead[s]))!;
            double passed = bed.Passes(
                curve,
                key,
                (behind[key] + ahead[key]) / 2,
                (before + at) / 2,
                (at + after) / 2
            );
            volumes.Add(100 * Math.Abs((passed / at) - 1));
            if (after - at > Narrow)
            {
                levels.AddRange(
                    behind.Select(b => Math.Abs(bed.Fraction(curve, b.Key, (at + after) / 2) - b.Value))
                );
            }

            ahead = behind;
        }

        yield return Row(
            $"mixed bed, {side} side: fronts",
            volumes.Count,
            volumes.Worst(),
            0.5,
            "% of the liters"
        );
        yield return Row(
            $"mixed bed, {side} side: plateaus",
            levels.Count,
            levels.Worst(),
            0.01,
            "of the feed"
        );
    }

    private static (double Hydroxide, double Hydrogen) RealIons()
    {
        var totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Calcium] = 1;
        totals[(int)Component.Magnesium] = 0.4;
        totals[(int)Component.Potassium] = 0.05;
        totals[(int)Component.Sodium] = 1.1;
        totals[(int)Component.Sulfate] = 0.425;
        totals[(int)Component.Nitrate] = 0.12;
        totals[(int)Component.Chloride] = 0.98;
        totals[(int)Component.InorganicCarbon] = 2.1;
        totals[(int)Component.Silica] = 0.15;
        var bed = new ExchangeBed(
            Volume.FromLiters(BedLiters),
            Length.FromMillimeters(95),
            new Resin(ResinKind.StrongCation, 0.4)
            {
                Capacity = ExchangeCapacity.FromEquivalentsPerLiter(1.8),
            },
            new Resin(ResinKind.StrongAnion1, 0.6)
            {
                Capacity = ExchangeCapacity.FromEquivalentsPerLiter(1.1),
            }
        )
        {
            Equilibrium = true,
        };
        var flow = VolumeFlow.FromLitersPerMinute(4);
        var temperature = Temperature.FromDegreesCelsius(15);
        var series = new BedSeries([bed], flow, temperature);
        Assert.Equal(
            BedRunStatus.Completed,
            series.Advance(totals, temperature, flow, Volume.FromLiters(720))
        );
        double Comes(Component ion, double level) =>
            Enumerable
                .Range(0, 7200)
                .Select(i => i / 10.0)
                .First(v => series.Effluent.At(ion, Volume.FromLiters(v)) >= level);
        // Equivalents per cubic meter of anions, carbon and silica, and of cations.
        return (
            Comes(Component.Silica, 4.2 / 2) * 4.2e-3 / AnionCapacity_eq,
            Comes(Component.Sodium, 3.95 / 2) * 3.95e-3 / CationCapacity_eq
        );
    }

    private static EvidenceRow Row(string quantity, int points, double error, double allowed, string unit) =>
        new(
            "exchange-bed",
            quantity,
            EvidenceKind.Published,
            "helfferich1970",
            points,
            error,
            allowed,
            unit,
            "at equilibrium; the water between the beads is left out on both sides"
        );
}
