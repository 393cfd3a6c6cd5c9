using System.Collections.Immutable;
using System.Runtime.InteropServices;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>A quantity that is not known exactly: its median and the limits that 5 % and 95 % of it lie below.</summary>
/// <param name="Median">Median [any].</param>
/// <param name="P05">5 % quantile [any].</param>
/// <param name="P95">95 % quantile [any].</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct Band(double Median, double P05, double P95)
{
    /// <summary>The band of some values of equal weight; infinite values count as the greatest.</summary>
    /// <param name="values">The values, in any order; at least one [any].</param>
    public static Band Of(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return new Band(Quantile(sorted, 0.5), Quantile(sorted, 0.05), Quantile(sorted, 0.95));
    }

    /// <summary>Quantile of sorted values, linear between neighbours [any].</summary>
    /// <param name="sorted">The values, ascending; at least one [any].</param>
    /// <param name="probability">Probability, 0 to 1 [-].</param>
    public static double Quantile(ReadOnlySpan<double> sorted, double probability)
    {
        double place = probability * (sorted.Length - 1);
        int low = (int)place;
        int high = Math.Min(low + 1, sorted.Length - 1);
        return double.IsInfinity(sorted[high]) || place == low
            ? sorted[place - low > 0.5 ? high : low]
            : sorted[low] + (place - low) * (sorted[high] - sorted[low]);
    }
}

/// <summary>
/// Whole lives of a rig's beds over everything that is not known: the waters that fit the analysis and, with them, the
/// resins and films that the designs may turn out to be.
/// </summary>
public sealed class BedOutlook
{
    /// <summary>Water to run when nothing else is said, over what the larger of the resins can hold [-].</summary>
    public const double UsualLife = 1.5;

    private const int SamplesOfMember = 80;

    private BedOutlook(ImmutableArray<EffluentReport> members) => Members = members;

    /// <summary>The lives, of equal weight.</summary>
    public ImmutableArray<EffluentReport> Members { get; }

    /// <summary>Runs the members.</summary>
    /// <param name="beds">The beds, in the order in which the water meets them.</param>
    /// <param name="feeds">Waters of equal weight; they are taken in turn.</param>
    /// <param name="flow">Flow through the beds.</param>
    /// <param name="volume">Water to run; unset, each member runs <see cref="UsualLife"/> times what its resins can hold.</param>
    /// <param name="members">How many.</param>
    /// <param name="seed">Seed of the random stream; the same seed gives the same members.</param>
    /// <param name="detail">How closely what leaves the beds is to be followed.</param>
    /// <param name="progress">Told the fraction done [-].</param>
    /// <param name="cancellation">Stops the runs.</param>
    /// <exception cref="InvalidOperationException">The equations of a member were not solved.</exception>
    public static BedOutlook Run(
        ImmutableArray<ExchangeBed> beds,
        ImmutableArray<WaterComposition> feeds,
        VolumeFlow flow,
        Volume? volume,
        int members,
        int seed,
        BedDetail detail = BedDetail.Curves,
        IProgress<double>? progress = null,
        CancellationToken cancellation = default
    )
    {
        var random = new Random(seed);
        var designs = new ImmutableArray<ExchangeBed>[members];
        for (int m = 0; m < members; m++)
        {
            designs[m] = [.. beds.Select(b => BedUncertainty.Draw(b, random))];
        }

        var draws = new BedDraw[members];
        Parallel.For(
            0,
            members,
            m => draws[m] = DrawOf(designs[m], feeds[m % feeds.Length], flow, volume, detail)
        );
        ImmutableArray<BedRunStatus> statuses = BedEnsemble.Advance(
            draws,
            progress: progress,
            cancellation: cancellation
        );
        cancellation.ThrowIfCancellationRequested();
        int failed = statuses.Count(s => s is not BedRunStatus.Completed);
        if (failed > 0)
        {
            throw new InvalidOperationException(
                $"{failed} of {members} members did not run to the end: {statuses.First(s => s is not BedRunStatus.Completed)}."
            );
        }

        var reports = new EffluentReport[members];
        Parallel.For(
            0,
            members,
            m =>
                reports[m] = new EffluentReport(
                    draws[m].Beds.Effluent,
                    feeds[m % feeds.Length],
                    designs[m],
                    SamplesOfMember
                )
        );
        return new BedOutlook([.. reports]);
    }

    /// <summary>Water passed when a line is reached [L]; infinite where it is not.</summary>
    /// <param name="line">The line.</param>
    /// <param name="meterFactor">The meter's factor from conductivity to TDS [-].</param>
    public Band LitersTo(ChangeOutLine line, double meterFactor)
    {
        var liters = new double[Members.Length];
        Parallel.For(
            0,
            liters.Length,
            m => liters[m] = Members[m].Reaches(line, meterFactor)?.Liters ?? double.PositiveInfinity
        );
        return Band.Of(liters);
    }

    /// <summary>A quantity of the water that leaves, at some volumes passed.</summary>
    /// <param name="liters">Volumes passed [L].</param>
    /// <param name="value">The quantity.</param>
    public ImmutableArray<Band> Along(IReadOnlyList<double> liters, Func<EffluentSample, double> value) =>
        [
            .. Enumerable
                .Range(0, liters.Count)
                .Select(i => Band.Of(Members.Select(m => m.Between(liters[i], value)))),
        ];

    private static BedDraw DrawOf(
        ImmutableArray<ExchangeBed> beds,
        WaterComposition feed,
        VolumeFlow flow,
        Volume? volume,
        BedDetail detail
    )
    {
        var life = BedDraw.OfLife(beds, feed, flow, UsualLife, detail);
        return volume is { } asked ? life with { Volume = asked } : life;
    }
}
