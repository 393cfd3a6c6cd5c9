using System.Collections.Immutable;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Handouts.Lives;

/// <summary>Whole lives of many beds at once, each as the designs say, without what they may turn out to be.</summary>
public static class LifeRuns
{
    /// <summary>Runs the lives.</summary>
    /// <param name="lives">Beds, feed and flow of each.</param>
    /// <param name="detail">How closely what leaves the beds is to be followed.</param>
    /// <param name="cancel">Stops them.</param>
    /// <returns>A report for each, in order; nothing where its equations were not solved.</returns>
    public static IReadOnlyList<EffluentReport?> Of(
        IReadOnlyList<(ImmutableArray<ExchangeBed> Beds, WaterComposition Feed, VolumeFlow Flow)> lives,
        BedDetail detail = BedDetail.Curves,
        CancellationToken cancel = default
    )
    {
        BedDraw[] draws =
        [
            .. lives.Select(l => BedDraw.OfLife(l.Beds, l.Feed, l.Flow, BedOutlook.UsualLife, detail)),
        ];
        ImmutableArray<BedRunStatus> statuses = BedEnsemble.Advance(draws, cancellation: cancel);
        cancel.ThrowIfCancellationRequested();
        return
        [
            .. draws.Select(
                (d, i) =>
                    statuses[i] is BedRunStatus.Completed
                        ? new EffluentReport(d.Beds.Effluent, lives[i].Feed, lives[i].Beds, samples: 1)
                        : null
            ),
        ];
    }

    /// <summary>The middling water of those that fit, by what a bed must take from it.</summary>
    public static WaterComposition Middling(SourceWater source) => Spread(source, 1)[0];

    /// <summary>A few of the waters that fit, evenly from those of which a bed must take least to those of which it must take most.</summary>
    public static IReadOnlyList<WaterComposition> Spread(SourceWater source, int count)
    {
        WaterComposition[] ordered = [.. source.Members.OrderBy(m => m.Totals.ToArray().Sum())];
        return
        [
            .. Enumerable.Range(0, count).Select(i => ordered[(int)((i + 0.5) * ordered.Length / count)]),
        ];
    }
}
