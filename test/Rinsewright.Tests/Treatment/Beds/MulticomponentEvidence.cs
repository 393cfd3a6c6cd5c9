using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>Fronts, fans and plateaus of a bed at equilibrium against the theory of coherent waves.</summary>
public sealed class MulticomponentEvidence : IEvidenceSet
{
    private const string Folder = "data/published/exchange-theory";

    private const double LongestStep = 0.01;
    private const double Narrow = 0.06; // as wide, in T, as the blunt fronts of the bed that is run

    public IEnumerable<EvidenceRow> Rows()
    {
        foreach (
            IGrouping<string, DataTable.Row> species in DataTable
                .Read($"{Folder}/multicomponent-cases.csv")
                .Rows.GroupBy(r => r.Text("case"), StringComparer.Ordinal)
        )
        {
            foreach (EvidenceRow row in Case(species.Key, [.. species]))
            {
                yield return row;
            }
        }
    }

    private static IEnumerable<EvidenceRow> Case(string name, IReadOnlyList<DataTable.Row> species)
    {
        List<DataTable.Row> Of(string table) =>
            [
                .. DataTable
                    .Read($"{Folder}/{table}.csv")
                    .Rows.Where(r => string.Equals(r.Text("case"), name, StringComparison.Ordinal)),
            ];
        List<DataTable.Row> spreading = Of("multicomponent-fans");
        int slices = spreading.Count > 0 ? 800 : 400;
        var bed = new StandInBed(
            [
                .. species.Select(r =>
                    (r.Text("species"), r.Number("w"), r.Number("feed_x"), r.Number("start_y"))
                ),
            ],
            species.Select(r => r.Text("species")).FirstOrDefault(s => s is "H" or "OH")
        )
        {
            Slices = slices,
            LongestStep = LongestStep,
        };
        List<DataTable.Row> plateaus = Of("multicomponent-plateaus");
        EffluentCurve curve = bed.Run(plateaus.Max(p => p.Number("T_to"))).Effluent;
        List<(double From, double To)> spans =
        [
            .. plateaus.Select(p => (p.Number("T_from"), p.Number("T_to"))).Distinct(),
        ];
        List<double> fronts =
        [
            .. Of("multicomponent-fronts")
                .Select(f =>
                {
                    double t = f.Number("T");
                    double before = spans.Single(s => Math.Abs(s.To - t) < 1e-6).From;
                    double after = spans.Single(s => Math.Abs(s.From - t) < 1e-6).To;
                    double passed = bed.Passes(
                        curve,
                        f.Text("species"),
                        f.Number("level"),
                        (before + t) / 2,
                        (t + after) / 2
                    );
                    return Math.Abs(passed / t - 1);
                }),
        ];
        string run = FormattableString.Invariant($"at equilibrium, {slices} slices");
        yield return Row(
            $"{name}: volume at which shocks come",
            fronts.Count,
            100 * fronts.Worst(),
            0.5,
            "%",
            run
        );
        List<double> levels =
        [
            .. plateaus
                .Where(p => p.Number("T_to") - p.Number("T_from") > Narrow)
                .Select(p =>
                    Math.Abs(
                        bed.Fraction(curve, p.Text("species"), (p.Number("T_from") + p.Number("T_to")) / 2)
                            - p.Number("x")
                    )
                ),
        ];
        yield return Row(
            $"{name}: plateaus",
            levels.Count,
            levels.Worst(),
            0.005,
            "of the feed",
            $"{run}; plateaus wider than 0.06 in throughput"
        );
        List<double> fans =
        [
            .. spreading.Select(p =>
                Math.Abs(bed.Fraction(curve, p.Text("species"), p.Number("T")) - p.Number("x"))
            ),
        ];
        if (fans.Count > 0)
        {
            yield return Row(
                $"{name}: spreading waves",
                fans.Count,
                fans.Worst(),
                0.015,
                "of the feed",
                $"{run}; near the two ends of a wave, which more slices sharpen (0.022 at 400, 0.010 at 1 600)"
            );
        }
    }

    private static EvidenceRow Row(
        string quantity,
        int points,
        double error,
        double allowed,
        string unit,
        string remark
    ) =>
        new(
            "exchange-bed",
            quantity,
            EvidenceKind.Published,
            "helfferich1970",
            points,
            error,
            allowed,
            unit,
            remark
        );
}
