namespace Rinsewright.Compare;

/// <summary>All that one run of the comparison found.</summary>
internal sealed record Measured(
    bool Quick,
    int Repeat,
    double Load,
    double MostLoad,
    string PeerVersion,
    IReadOnlyList<CaseResult> Cases,
    IReadOnlyList<Growth> Growth,
    IReadOnlyList<Throughput> Many,
    IReadOnlyList<Budget> Budgets,
    IReadOnlyList<PeerSetup> Setups
);

/// <summary>Turns it into docs/performance.md and its pictures.</summary>
internal static class PerformancePage
{
    /// <summary>Writes the pictures into a folder and returns the page.</summary>
    public static string Write(string folder, Measured all)
    {
        var page = new Report();
        page.Paragraph($"# Performance");
        page.Paragraph(
            $"Written by `./rinsewright-bench`. Machine: {Workplace.Machine}. {Workplace.Sdk}, {all.PeerVersion} (gcc -O3 -march=native). Load average {all.Load:0.0} before the run and {all.MostLoad:0.0} at most during it, some 1 to 2 of it the run's own; times are good only when no other work stands beside it, errors always. Commit {Workplace.Commit}.{(all.Quick ? " Quick run." : "")}"
        );
        page.Heading("One bed life: error against time");
        page.Paragraph(
            $"A mixed bed from new to 1.5 times its stoichiometric volume, four cations, three strong anions, total carbon and silica, film kinetics: the equations and constants of `data/reference-codes/sundials-cvode/README.md`, solved by both. One thread, median of {all.Repeat}. Error of an ion: largest difference over the curve from the converged answer, divided by the larger of its feed and its own greatest value; silica, which leaves in a slug, apart. To pass: 1 %, silica 2 %, and litres to both lines within 1 %. A solver's cheapest setting counts only if every finer one of its ladder passes too."
        );
        page.Summary(all.Cases, Comparison.PeerBest, Comparison.PeerPackaged);
        foreach (CaseResult result in all.Cases)
        {
            WriteCase(folder, page, result);
        }

        WriteGrowth(folder, page, all.Cases[0].Bed, all.Growth);
        WriteManyLives(page, all.Many);
        WriteOtherBudgets(page, all.Budgets);
        page.Heading("The peer's set-ups");
        page.Paragraph(
            $"{all.Cases[0].Bed.Title}, 60 cells, rtol 1e-5, atol 1e-8 unless said; the first is what the ladder named CVODE uses. Its cells shrink towards the outlet, the first six times as thick as the last, and CVODE's busiest vector operations are compiled for this machine; as packaged they are built for any x86-64 and take most of the time."
        );
        page.Table(
            ["set-up", "time [ms]", "steps", "worst ion", "silica curve"],
            all.Setups.Select(m =>
                m is { Run: { } run, Error: { } error }
                    ? new[]
                    {
                        m.Name,
                        Report.Milliseconds(run.Milliseconds),
                        Report.Invariant($"{run.Steps}"),
                        $"{error.WorstIon} {Report.Percent(error.Worst)}",
                        Report.Percent(error.Slug),
                    }
                    : [m.Name, "gave up", "", "", ""]
            )
        );
        return page.ToString();
    }

    private static void WriteManyLives(Report page, IReadOnlyList<Throughput> many)
    {
        page.Heading("Many lives at once");
        page.Paragraph(
            $"Ensembles of beds that all differ from the case they are drawn around: water, its silica, capacity and flow by up to 30 %, film coefficients by up to 40 %, 5 to 25 °C, up to 2 % by-pass; each from new to 1.5 times its own stoichiometric volume, the making of the beds included. Two settings: the cheapest that passes on the case itself, and the cheapest at which all of a sample of members pass, as they do at every finer one. The errors are those of other members, the first of those timed, each against its own solution by this program with {MemberErrors.Fine.Name}. Last columns: time of one life by the peer's cheapest passing setting, over the time of a thread for one life here. Only where all members pass does a rate count: the aim is 1 000 a second on two cores, and 5 ms for a life alone; [exchange-bed](models/exchange-bed.md) says where the time goes and what was tried."
        );
        page.Table(
            [
                "case",
                "setting",
                "members that pass",
                "worst ion of any",
                "worst silica",
                "worst line",
                "threads",
                "members",
                "lives per second",
                "a thread's time per life [ms]",
                $"times {Comparison.PeerBest}",
                $"times {Comparison.PeerPackaged}",
            ],
            many.Select(m =>
                new[]
                {
                    m.Case.Bed.Title,
                    m.Setting.Name,
                    Report.Invariant($"{m.Errors.Passing} of {m.Errors.Of}"),
                    Report.Percent(m.Errors.Ion),
                    Report.Percent(m.Errors.Silica),
                    Report.Percent(m.Errors.Line),
                    Report.Invariant($"{m.Threads}"),
                    Report.Invariant($"{m.Members}"),
                    Report.Invariant($"{m.LivesPerSecond:0}"),
                    Report.Milliseconds(m.Milliseconds),
                    Ratio(m.Over(Comparison.PeerBest)),
                    Ratio(m.Over(Comparison.PeerPackaged)),
                }
            )
        );
    }

    private static string Ratio(double? times) => times is { } t ? Report.Invariant($"{t:0}") : "none passes";

    private static void WriteOtherBudgets(Report page, IReadOnlyList<Budget> budgets)
    {
        page.Heading("Other budgets");
        page.Table(
            ["what", "budget", "measured", "peer"],
            budgets.Select(b => new[] { b.What, b.Allowed, b.Measured, b.Peer })
        );
        page.Paragraph($"The import of readings has [a page of its own](performance-import.md).");
    }

    private static void WriteGrowth(string folder, Report page, BedCase bed, IReadOnlyList<Growth> growth)
    {
        page.Heading("Growth");
        page.Paragraph(
            $"{bed.Title}, {OwnSetting.Default.Name} unless that is what grows. Exponent: slope of the logarithms; 1 is linear, and −1 for threads that share the work."
        );
        page.Table(
            ["with", "from", "to", "time [ms]", "exponent"],
            growth.Select(g =>
                new[]
                {
                    g.Name,
                    Report.Invariant($"{g.Points[0].Size:0}"),
                    Report.Invariant($"{g.Points[^1].Size:0}"),
                    $"{Report.Milliseconds(g.Points[0].Milliseconds)} to {Report.Milliseconds(g.Points[^1].Milliseconds)}",
                    Report.Invariant($"{g.Exponent:0.00}"),
                }
            )
        );
        foreach (Growth g in growth)
        {
            Charts.LogLog(
                Path.Combine(folder, g.File),
                $"Time against {g.Name}",
                g.Name,
                g.Unit,
                [
                    new Series(
                        "measured",
                        [.. g.Points.Select(p => p.Size)],
                        [.. g.Points.Select(p => p.Milliseconds)]
                    ),
                    new Series(
                        "linear",
                        [g.Points[0].Size, g.Points[^1].Size],
                        [
                            g.Points[0].Milliseconds,
                            g.Points[0].Milliseconds
                                * Math.Pow(g.Points[^1].Size / g.Points[0].Size, g.Ideal),
                        ]
                    ),
                ]
            );
            page.Picture(g.File, $"{g.Unit} against {g.Name}, with a linear line");
        }
    }

    private static void WriteCase(string folder, Report page, CaseResult result)
    {
        page.Paragraph($"### {result.Bed.Title}");
        ConvergedCurve converged = result.Converged;
        page.Paragraph(
            $"Converged answer: limit of the peer's grids by Richardson's extrapolation, observed order {converged.Order:0.00}, uncertain by {100 * converged.Uncertainty:0.000} % (silica {100 * converged.SlugUncertainty:0.000} %)."
        );
        if (result.StoredError is { } stored)
        {
            page.Paragraph(
                $"The stored curve of 1 600 cells lies {100 * stored.Worst:0.000} % from it (silica {100 * stored.Slug:0.000} %)."
            );
        }

        page.Ladder(result);
        string picture = $"performance-{result.Bed.Name}.svg";
        Charts.LogLog(
            Path.Combine(folder, picture),
            result.Bed.Title,
            "time of one life [ms]",
            "error / allowed error",
            [
                .. result.Solvers.Select(s =>
                {
                    Measurement[] of =
                    [
                        .. result.Ladder.Where(m => string.Equals(m.Solver, s, StringComparison.Ordinal)),
                    ];
                    return new Series(
                        s,
                        [.. of.Select(m => m.Run.Milliseconds)],
                        [.. of.Select(m => m.Error.OverAllowed)]
                    );
                }),
            ],
            (1, "allowed: 1 % of the worst ion, 2 % of silica, 1 % of the litres")
        );
        page.Picture(picture, $"{result.Bed.Title}: error over the allowed error against time, by solver");
    }
}
