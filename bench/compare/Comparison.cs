namespace Rinsewright.Compare;

/// <summary>The whole comparison: converged answers, ladders of both solvers, set-ups of the peer, growth.</summary>
internal sealed class Comparison(bool quick, Action<string> tell)
{
    public const string Own = "Rinsewright";
    private const string OwnScalar = "Rinsewright, readable form";
    public const string PeerBest = "CVODE";
    private const string PeerEven = "CVODE, even cells";
    public const string PeerPackaged = "CVODE, even cells, as packaged";
    private const int Points = 301;

    private static readonly string[] Cases = ["soft-8", "soft-19", "hard-8", "softened-12"];

    private double _mostLoad;
    private readonly int _repeat = quick ? 3 : 7;
    private readonly OwnSetting[] _settings = quick
        ? [new(40, 0.02), new(56, 0.014), new(56, 0.01), OwnSetting.Default, new(113, 0.0025)]
        :
        [
            new(28, 0.04),
            new(40, 0.02),
            new(48, 0.014),
            new(56, 0.014),
            new(56, 0.01),
            OwnSetting.Default,
            new(113, 0.0025),
            new(160, 0.00125),
        ];

    /// <summary>Runs it and writes performance.md with its pictures into a folder; returns the page.</summary>
    public async Task<string> RunAsync(string folder)
    {
        double load = Workplace.Load;
        string kept = Workplace.PathOf("artifacts/compare/kept");
        Directory.CreateDirectory(kept);
        Directory.CreateDirectory(folder);
        Say("building the peer");
        Cvode peer = await Cvode.BuildAsync(kept);

        List<CaseResult> results = [];
        foreach (string name in Cases)
        {
            var bed = new BedCase(Workplace.PathOf($"bench/compare/cases/{name}.txt"));
            Say($"{bed.Title}: converged answer");
            ConvergedCurve converged = await ConvergedCurve.OfAsync(
                bed,
                peer,
                Points,
                quick ? 400 : 800,
                kept
            );
            Say($"{bed.Title}: ladders");
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

        Say("growth");
        var first = new OwnBed(results[0].Bed);
        Growth[] growth =
        [
            Growth.WithSlices(first, _repeat),
            Growth.WithSteps(first, _repeat),
            Growth.WithMembers(first, 3),
            Growth.WithThreads(first, 3),
        ];
        List<Throughput> many = ManyLives(results);
        Say("other budgets");
        List<Budget> budgets = await OtherBudgets.AllAsync(new OwnBed(results[2].Bed), kept, _repeat);
        Say("set-ups of the peer");
        List<PeerSetup> setups = await SetupsAsync(results[0], peer);
        _mostLoad = Math.Max(_mostLoad, Workplace.Load);
        var measured = new Measured(
            quick,
            _repeat,
            load,
            _mostLoad,
            peer.Version,
            results,
            growth,
            many,
            budgets,
            setups
        );
        string page = PerformancePage.Write(folder, measured);
        await File.WriteAllTextAsync(Path.Combine(folder, "performance.md"), page);
        return page;
    }

    private void Say(string what)
    {
        _mostLoad = Math.Max(_mostLoad, Workplace.Load);
        tell(what);
    }

    private List<Measurement> OwnLadder(BedCase bed, Curve converged)
    {
        var own = new OwnBed(bed);
        IEnumerable<Measurement> Of(BedForm form, string name, IEnumerable<OwnSetting> settings) =>
            settings.Select(s =>
            {
                SolverRun run = own.Solve(form, s, Points, 3 * _repeat);
                return new Measurement(name, s.Name, run, CurveError.Of(bed, run.Curve, converged));
            });
        return
        [
            .. Of(BedForm.Lanes, Own, _settings),
            .. Of(BedForm.Scalar, OwnScalar, _settings.Where(s => s.Slices >= OwnSetting.Default.Slices)),
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
    private async Task<List<PeerSetup>> SetupsAsync(CaseResult first, Cvode peer)
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

        List<PeerSetup> setups = [];
        foreach ((string name, string[] options) in ways)
        {
            int repeat = options[0] is "linear=direct" ? _repeat : 1;
            SolverRun? run = await peer.TrySolveAsync(
                first.Bed,
                Points,
                repeat,
                ["cells=60", "grading=6", "rtol=1e-5", "atol=1e-8", .. options]
            );
            setups.Add(
                new PeerSetup(
                    name,
                    run,
                    run is null ? null : CurveError.Of(first.Bed, run.Curve, first.Converged.Curve)
                )
            );
        }

        return setups;
    }

    /// <summary>
    /// Many lives of every case: at the cheapest setting that passes on the case, and at the cheapest at which, as at every finer one,
    /// all of some members pass. Those are not the members that are timed, and on whom the error is reported.
    /// </summary>
    private List<Throughput> ManyLives(IEnumerable<CaseResult> results)
    {
        const int otherSeed = 2;
        int looked = quick ? 20 : 60;
        int[] members = quick ? [256] : [64, 256, 1024];
        List<Throughput> many = [];
        foreach (CaseResult result in results)
        {
            Say($"{result.Bed.Title}: many lives at once");
            OwnSetting ofCase =
                _settings.SingleOrDefault(s =>
                    string.Equals(s.Name, result.CheapestPassing(Own)?.Setting, StringComparison.Ordinal)
                ) ?? OwnSetting.Default;
            OwnSetting ofMembers =
                _settings
                    .Reverse()
                    .TakeWhile(s => MemberErrors.Measure(result.Bed, s, looked, otherSeed).AllPass)
                    .LastOrDefault()
                ?? _settings[^1];
            foreach (OwnSetting setting in new[] { ofCase, ofMembers }.Distinct())
            {
                var errors = MemberErrors.Measure(result.Bed, setting, looked, Throughput.Seed);
                for (int threads = 1; threads <= Environment.ProcessorCount; threads *= 2)
                {
                    many.AddRange(
                        members.Select(m => Throughput.Of(result, setting, errors, threads, m, quick ? 1 : 3))
                    );
                }
            }
        }

        return many;
    }
}
