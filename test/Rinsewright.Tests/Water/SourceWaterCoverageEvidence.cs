using Rinsewright.Tests.Evidence;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

/// <summary>
/// Hides ions of the measured waters and asks how often what was hidden lies between the 5th and the 95th percentile of the
/// completed waters. The law of waters was fitted to a set that holds these waters, so this checks the conditioning and
/// the shape of the law, not whether a stranger's tap is like them.
/// </summary>
public sealed class SourceWaterCoverageEvidence : IEvidenceSet
{
    private const int Members = 64;
    private const double Stated = 90; // %

    private static readonly (string Column, string Key, Component Component)[] Ions =
    [
        ("Ca", "calcium", Component.Calcium),
        ("Mg", "magnesium", Component.Magnesium),
        ("Na", "sodium", Component.Sodium),
        ("K", "potassium", Component.Potassium),
        ("Cl", "chloride", Component.Chloride),
        ("SO4", "sulfate", Component.Sulfate),
        ("NO3", "nitrate", Component.Nitrate),
    ];

    public IEnumerable<EvidenceRow> Rows()
    {
        List<DataTable.Row> waters =
        [
            .. DataTable
                .Read("data/published/waters/measured-conductivity.csv")
                .Rows.Where((_, i) => i % 2 == 0),
        ];
        yield return Row(
            "one ion of a full analysis left out: within its 5–95 % range",
            [
                .. waters.SelectMany(w =>
                    Ions.Where(hidden => w.Number(hidden.Column) > 0)
                        .Select(hidden =>
                            Covered(w, [.. Ions.Where(i => i != hidden)], conductivity: false, [hidden])
                        )
                        .SelectMany(c => c)
                ),
            ]
        );
        yield return Row(
            "pH, alkalinity and conductivity known: ions within their 5–95 % range",
            [.. waters.SelectMany(w => Covered(w, [], conductivity: true, Ions))]
        );
    }

    private static IEnumerable<bool> Covered(
        DataTable.Row water,
        (string Column, string Key, Component Component)[] known,
        bool conductivity,
        (string Column, string Key, Component Component)[] hidden
    )
    {
        List<string> stated =
        [
            FormattableString.Invariant($"\"pH\":{water.Number("pH")}"),
            FormattableString.Invariant($"\"bicarbonate\":\"{water.Number("HCO3")} mg/L\""),
            .. known.Select(i =>
                FormattableString.Invariant($"\"{i.Key}\":\"{water.Number(i.Column)} mg/L\"")
            ),
        ];
        if (conductivity)
        {
            double at25 = water.Number("conductivity_uS_cm") * (water.Number("temp_C") < 22 ? 1.116 : 1);
            stated.Add(FormattableString.Invariant($"\"conductivity\":\"{at25} uS/cm\""));
        }

        Assert.True(
            WaterFile.TryRead($"{{{string.Join(',', stated)}}}", out WaterAnalysis? analysis, out _, out _)
        );
        SourceWater? source = SourceWater.Complete(analysis, new WaterMode(), Members, 1, out _);
        Assert.NotNull(source);
        foreach ((string column, _, Component component) in hidden.Where(h => water.Number(h.Column) > 0))
        {
            double truth = water.Number(column) * 1e-3 / IonCatalog.MolarMass(component);
            double[] sorted = [.. source.Members.Select(m => m[component]).Order()];
            yield return truth >= Quantile(sorted, 0.05) && truth <= Quantile(sorted, 0.95);
        }
    }

    private static double Quantile(double[] sorted, double probability)
    {
        double place = probability * (sorted.Length - 1);
        int low = (int)place;
        return sorted[low] + ((place - low) * (sorted[Math.Min(low + 1, sorted.Length - 1)] - sorted[low]));
    }

    private static EvidenceRow Row(string quantity, IReadOnlyList<bool> covered)
    {
        double share = 100.0 * covered.Count(c => c) / covered.Count;
        return new EvidenceRow(
            "water",
            quantity,
            EvidenceKind.Published,
            "stuyfzand1987",
            covered.Count,
            Math.Abs(share - Stated),
            5,
            "points from 90 %",
            FormattableString.Invariant(
                $"{share:F0} % of them; the law was fitted to a set that holds these waters, and widened on the other half of them"
            )
        );
    }
}
