namespace Rinsewright.Compare;

/// <summary>The whole comparison: converged answers, ladders of both solvers, set-ups of the peer, growth, and the page.</summary>
internal sealed class Comparison(bool quick, Action<string> say)
{
    private const string Own = "Rinsewright";
    private const string PeerBest = "CVODE";
    private const string PeerEven = "CVODE, even cells";
    private const string PeerPackaged = "CVODE, even cells, as packaged";
    private const int Points = 301;

    private static readonly string[] Cases = ["soft-8", "soft-19", "hard-8", "softened-12"];

    private readonly int _repeat = quick ? 3 : 7;

    /// <summary>Runs it and writes performance.md with its pictures into a folder; returns the page.</summary>
    public async Task<string> RunAsync(string folder)
    {
        string load = Workplace.Load;
        string kept = Workplace.PathOf("artifacts/compare/kept");
        Directory.CreateDirectory(kept);
        Directory.CreateDirectory(folder);
        say("building the peer");
        Cvode peer = await Cvode.BuildAsync(kept);

        List<CaseResult> results = [];
        foreach (string name in Cases)
        {
            var bed = new BedCase(Workplace.PathOf($"bench/compare/cases/{name}.txt"));
            say($"{bed.Title}: converged answer");
            ConvergedCurve converged = await ConvergedCurve.OfAsync(
                bed,
                peer,
                Points,
                quick ? 400 : 800,
                kept
            );
            say($"{bed.Title}: ladders");
            List<Measurement> ladder =
            [
                .. OwnLadder(bed, converged.Curve),
                .. await PeerLadderAsync(bed, peer, converged.Curve),
            ];
            CurveError? stored = ConvergedCurve.Stored(bed) is { } curve
                ? CurveError.Of(bed, curve, converged.Curve)
                : null;
            results.Add(new CaseResult(bed, converged, stored, ladder));
        }

        say("growth");
        var first = new OwnBed(results[0].Bed);
        Growth[] growth = [Growth.WithSlices(first, _repeat), Growth.WithSteps(first, _repeat)];
        say("set-ups of the peer");
        List<Measurement> setups = await SetupsAsync(results[0], peer);
        string page = Write(folder, peer, load, results, setups, growth);
        await File.WriteAllTextAsync(Path.Combine(folder, "performance.md"), page);
        return page;
    }

    private List<Measurement> OwnLadder(BedCase bed, Curve converged)
    {
        (int Slices, double Tolerance)[] settings = quick
            ? [(40, 0.02), (56, 0.01), (80, 0.005), (113, 0.0025)]
            : [(28, 0.04), (40, 0.02), (48, 0.014), (56, 0.01), (80, 0.005), (113, 0.0025), (160, 0.00125)];
        var own = new OwnBed(bed);
        return
        [
            .. settings.Select(s =>
            {
                SolverRun run = own.Solve(s.Slices, s.Tolerance, Points, 3 * _repeat);
                string setting = Report.Invariant($"{s.Slices} slices, tolerance {s.Tolerance}");
                return new Measurement(Own, setting, run, CurveError.Of(bed, run.Curve, converged));
            }),
        ];
    }

    private async Task<List<Measurement>> PeerLadderAsync(BedCase bed, Cvode peer, Curve converged)
    {
        List<(string Solver, int[] Cells, string[] Options)> ways =
        [
            (
                PeerBest,
                quick ? [40, 50, 60, 80] : [30, 40, 45, 50, 60, 80, 120],
                ["grading=6", "vectors=own"]
            ),
            (
                PeerPackaged,
                quick ? [60, 80, 100, 120] : [40, 60, 80, 100, 120, 160],
                ["grading=1", "vectors=library"]
            ),
        ];
        if (!quick)
        {
            ways.Insert(1, (PeerEven, [40, 60, 80, 100, 120, 160], ["grading=1", "vectors=own"]));
        }

        List<Measurement> ladder = [];
        foreach ((string solver, int[] cells, string[] options) in ways)
        {
            foreach (int n in cells)
            {
                string[] all = [$"cells={n}", "rtol=1e-5", "atol=1e-8", .. options];
                SolverRun run = await peer.SolveAsync(bed, Points, _repeat, all);
                ladder.Add(
                    new Measurement(solver, $"{n} cells", run, CurveError.Of(bed, run.Curve, converged))
                );
            }
        }

        return ladder;
    }

    /// <summary>The ways to set CVODE up, on the first case with 60 cells.</summary>
    private async Task<List<Measurement>> SetupsAsync(CaseResult first, Cvode peer)
    {
        List<(string Name, string[] Options)> ways =
        [
            ("exact block-triangular solve", ["linear=direct"]),
            ("the same, rtol 1e-4", ["linear=direct", "rtol=1e-4"]),
            ("the same, rtol 1e-6", ["linear=direct", "rtol=1e-6"]),
            ("the same, atol 1e-7", ["linear=direct", "atol=1e-7"]),
            ("the same, order at most 3", ["linear=direct", "order=3"]),
            ("the same, order at most 2", ["linear=direct", "order=2"]),
            ("the same, mid-point cells", ["linear=direct", "space=box"]),
            ("the same, even cells", ["linear=direct", "grading=1"]),
            ("the same, vectors as packaged", ["linear=direct", "vectors=library"]),
            ("GMRES, block preconditioner", ["linear=gmres"]),
        ];
        if (!quick)
        {
            ways.Add(("GMRES, no preconditioner", ["linear=plain"]));
            ways.Add(
                ("banded, liquid with its own storage, even cells, rtol 1e-4", ["linear=band", "rtol=1e-4"])
            );
        }

        List<Measurement> setups = [];
        foreach ((string name, string[] options) in ways)
        {
            int repeat = options[0] is "linear=direct" ? _repeat : 1;
            SolverRun run = await peer.SolveAsync(
                first.Bed,
                Points,
                repeat,
                ["cells=60", "grading=6", "rtol=1e-5", "atol=1e-8", .. options]
            );
            setups.Add(
                new Measurement(
                    PeerBest,
                    name,
                    run,
                    CurveError.Of(first.Bed, run.Curve, first.Converged.Curve)
                )
            );
        }

        return setups;
    }

    private string Write(
        string folder,
        Cvode peer,
        string load,
        List<CaseResult> results,
        List<Measurement> setups,
        Growth[] growth
    )
    {
        var page = new Report();
        page.Paragraph($"# Performance");
        page.Paragraph(
            $"Written by `./rinsewright-bench`. Machine: {Workplace.Machine}. {Workplace.Sdk}, {peer.Version} (gcc -O3 -march=native). Load average before the run {load}. Commit {Workplace.Commit}.{(quick ? " Quick run." : "")}"
        );
        page.Heading("One bed life: error against time");
        page.Paragraph(
            $"A mixed bed from new to 1.5 times its stoichiometric volume, four cations, three strong anions, total carbon and silica, film kinetics: the equations and constants of `data/reference-codes/sundials-cvode/README.md`, solved by both. One thread, median of {_repeat}. Error of an ion: largest difference over the curve from the converged answer, divided by the larger of its feed and its own greatest value; silica, which leaves in a slug, apart. To pass: 1 %, silica 2 %, and litres to both lines within 1 %. A solver's cheapest setting counts only if every finer one of its ladder passes too."
        );
        page.Summary(results, PeerBest, PeerPackaged);
        foreach (CaseResult result in results)
        {
            WriteCase(folder, page, result);
        }

        WriteGrowth(folder, page, results[0].Bed, growth);
        page.Heading("The peer's set-ups");
        page.Paragraph(
            $"{results[0].Bed.Title}, 60 cells, rtol 1e-5, atol 1e-8 unless said; the first is what the ladder named CVODE uses. Its cells shrink towards the outlet, the first six times as thick as the last, and CVODE's busiest vector operations are compiled for this machine; as packaged they are built for any x86-64 and take most of the time."
        );
        page.Table(
            ["set-up", "time [ms]", "steps", "worst ion", "silica curve"],
            setups.Select(m =>
                new[]
                {
                    m.Setting,
                    Report.Milliseconds(m.Run.Milliseconds),
                    Report.Invariant($"{m.Run.Steps}"),
                    $"{m.Error.WorstIon} {Report.Percent(m.Error.Worst)}",
                    Report.Percent(m.Error.Slug),
                }
            )
        );
        return page.ToString();
    }

    private static void WriteGrowth(string folder, Report page, BedCase bed, Growth[] growth)
    {
        page.Heading("Growth");
        page.Paragraph($"{bed.Title}, one thread. Exponent: slope of the logarithms, 1 is linear.");
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
                            g.Points[0].Milliseconds * g.Points[^1].Size / g.Points[0].Size,
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
