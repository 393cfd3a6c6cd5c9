using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Water;

namespace Rinsewright.Cli;

/// <summary>The rig behind which a water dries, and where in its life.</summary>
/// <param name="Rig">The rig.</param>
/// <param name="Drawn">Water drawn through it since it was new.</param>
/// <param name="Flow">Flow through it.</param>
internal sealed record DryAfter(Rig Rig, Volume Drawn, VolumeFlow Flow)
{
    private const int Runs = 9;

    public static VolumeFlow UsualFlow { get; } = VolumeFlow.FromLitersPerMinute(5);

    /// <summary>The waters behind the rig for waters that the analysis allows, or nothing when a run was not solved.</summary>
    public IReadOnlyList<WaterComposition>? Waters(SourceWater source, IProgress<double> progress)
    {
        IReadOnlyList<TrainWater> feeds = TrainInput.Range(source).Spread(Runs);
        var behind = new WaterComposition?[feeds.Count];
        int done = 0;
        Parallel.For(
            0,
            behind.Length,
            i =>
            {
                behind[i] = Rig.Train.After(feeds[i], Flow, Drawn)?.Composition;
                progress.Report(Interlocked.Increment(ref done) / (double)behind.Length);
            }
        );
        return behind.Contains(null) ? null : [.. behind.Select(w => w!)];
    }
}
