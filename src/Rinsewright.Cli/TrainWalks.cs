using Rinsewright.Treatment;

namespace Rinsewright.Cli;

/// <summary>Walks through a train with the usual water, and with the weak and strong ones that an analysis leaves open.</summary>
/// <param name="Usual">With the usual water.</param>
/// <param name="Weak">With a water that one in twenty falls short of.</param>
/// <param name="Strong">With a water that one in twenty exceeds.</param>
internal sealed record TrainWalks(TrainReport Usual, TrainReport? Weak, TrainReport? Strong)
{
    /// <summary>What each tool gets, where the rig states its plumbing.</summary>
    public IReadOnlyList<FlowSolution> Tools { get; init; } = [];

    /// <summary>Tasks that want more than their tool gets.</summary>
    public IReadOnlyList<Warning> Short { get; init; } = [];

    /// <summary>The week with other uses of deionised water and with another rig, where they were asked for.</summary>
    public IReadOnlyList<TrainSplits> Splits { get; init; } = [];

    /// <summary>All warnings, those of the tools with the others.</summary>
    public IReadOnlyList<Warning> Warnings =>
        [.. Usual.Warnings.Concat(Tools.SelectMany(t => t.Warnings)).Concat(Short).Distinct()];

    private const double WeeksPerYear = 52.0;

    /// <summary>Walks; nothing when the usual water's walk was not solved.</summary>
    public static TrainWalks? Of(
        Train train,
        SourceRange source,
        Habit habit,
        IProgress<double> progress,
        CancellationToken cancellation
    )
    {
        TrainReport? usual = train.Walk(source.Usual, habit, cancellation: cancellation);
        progress.Report(1.0 / 3.0);
        TrainReport? weak = source.Weak is { } w ? train.Walk(w, habit, cancellation: cancellation) : null;
        progress.Report(2.0 / 3.0);
        TrainReport? strong = source.Strong is { } s
            ? train.Walk(s, habit, cancellation: cancellation)
            : null;
        return usual is null ? null : new TrainWalks(usual, weak, strong);
    }

    /// <summary>Least and most weeks that a stage lasts over the range of the water.</summary>
    public (double? Least, double? Most) Weeks(int stage) =>
        (
            Strong is null ? null : Weeks(Strong.Stages[stage]),
            Weak is null ? null : Weeks(Weak.Stages[stage])
        );

    /// <summary>Weeks that a stage lasts, by water or calendar; nothing when neither ends it.</summary>
    public static double? Weeks(StageReport stage) =>
        stage.ChangesPerYear > 0.0 ? WeeksPerYear / stage.ChangesPerYear : null;
}
