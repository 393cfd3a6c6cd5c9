namespace Rinsewright.Compare;

/// <summary>One setting of one solver on one case: what it cost and how far off it was.</summary>
/// <param name="Solver">The solver's name in tables.</param>
/// <param name="Setting">The setting, in its own words.</param>
/// <param name="Run">The run.</param>
/// <param name="Error">Its error.</param>
internal sealed record Measurement(string Solver, string Setting, SolverRun Run, CurveError Error);

/// <summary>A way to set the peer up.</summary>
/// <param name="Name">The way, in words.</param>
/// <param name="Run">Its run, or null when the library gave up.</param>
/// <param name="Error">Its error.</param>
internal sealed record PeerSetup(string Name, SolverRun? Run, CurveError? Error);

/// <summary>All that was measured on one case.</summary>
/// <param name="Bed">The case.</param>
/// <param name="Converged">Its converged answer.</param>
/// <param name="StoredError">The stored curve against it, or null where there is none.</param>
/// <param name="Ladder">Measurements, solver by solver, from coarse to fine.</param>
internal sealed record CaseResult(
    BedCase Bed,
    ConvergedCurve Converged,
    CurveError? StoredError,
    IReadOnlyList<Measurement> Ladder
)
{
    public IEnumerable<string> Solvers => Ladder.Select(m => m.Solver).Distinct(StringComparer.Ordinal);

    /// <summary>
    /// The cheapest setting of a solver that passes and above which every finer one passes too, so that no lucky one is
    /// taken; null when there is none.
    /// </summary>
    public Measurement? CheapestPassing(string solver) =>
        Ladder
            .Where(m => string.Equals(m.Solver, solver, StringComparison.Ordinal))
            .Reverse()
            .TakeWhile(m => m.Error.Passes)
            .MinBy(m => m.Run.Milliseconds);
}
