using System.Collections.Immutable;
using System.Runtime.Intrinsics;
using Rinsewright.Quantities;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// Draws water through many series of beds at once: one to a lane of a vector, a thread to a core. Each series ends as
/// it would alone, to the last bit; the members may differ in everything but which ions
/// their resins and waters have. What a member gives does not depend on the others nor on the number of threads.
/// </summary>
public static class BedEnsemble
{
    /// <summary>Draws water.</summary>
    /// <param name="draws">The draws; no series may stand in it twice.</param>
    /// <param name="threads">Threads to use; 0 for one to each core.</param>
    /// <param name="progress">Told the fraction of all volumes drawn, each draw counting alike [-].</param>
    /// <param name="cancellation">Stops between two steps.</param>
    /// <returns>How each draw ended, in the order of the draws.</returns>
    public static ImmutableArray<BedRunStatus> Advance(
        IReadOnlyList<BedDraw> draws,
        int threads = 0,
        IProgress<double>? progress = null,
        CancellationToken cancellation = default
    )
    {
        if (draws.Select(d => d.Beds).Distinct().Count() < draws.Count)
        {
            throw new ArgumentException("A series is drawn from once at a time.", nameof(draws));
        }

        var options = new ParallelOptions { MaxDegreeOfParallelism = threads > 0 ? threads : -1 };
        var statuses = new BedRunStatus[draws.Count];
        var works = new LaneWork[draws.Count];
        Parallel.For(0, draws.Count, options, i => works[i] = new LaneWork(draws[i], i));
        var told = new SharedProgress(progress, draws.Count);
        Array.Fill(statuses, BedRunStatus.NotConverged);

        foreach (
            IGrouping<string, LaneWork> alike in works.GroupBy(
                w => w.Series.Structure,
                StringComparer.Ordinal
            )
        )
        {
            LaneWork[] queue = [.. alike];
            if (queue[0].Series.ResinsCompete)
            {
                Parallel.For(
                    0,
                    queue.Length,
                    options,
                    i =>
                    {
                        statuses[queue[i].Index] = Alone(draws[queue[i].Index], cancellation);
                        told.Add(1);
                    }
                );
                continue;
            }

            switch (LanesFor(queue.Length))
            {
                case 1:
                    Draw<Lanes1>(queue, options, statuses, told, cancellation);
                    break;
                case 4:
                    Draw<Lanes4>(queue, options, statuses, told, cancellation);
                    break;
                default:
                    Draw<Lanes8>(queue, options, statuses, told, cancellation);
                    break;
            }
        }

        return [.. statuses];
    }

    /// <summary>Leaves many series of beds standing with their water in them, each as <see cref="BedSeries.Rest"/> would alone.</summary>
    /// <param name="resting">The series, with the temperatures of the water in them.</param>
    /// <param name="duration">How long.</param>
    /// <param name="threads">Threads to use; 0 for one to each core.</param>
    /// <returns>How each rest ended, in the order of the series.</returns>
    public static ImmutableArray<BedRunStatus> Rest(
        IReadOnlyList<(BedSeries Beds, Temperature Temperature)> resting,
        TimeSpan duration,
        int threads = 0
    )
    {
        var options = new ParallelOptions { MaxDegreeOfParallelism = threads > 0 ? threads : -1 };
        double[] steps = [.. BedSeries.RestSteps(duration)];
        var statuses = new BedRunStatus[resting.Count];
        foreach (
            IGrouping<string, int> alike in Enumerable
                .Range(0, resting.Count)
                .GroupBy(i => resting[i].Beds.Structure, StringComparer.Ordinal)
        )
        {
            int[] queue = [.. alike];
            if (resting[queue[0]].Beds.ResinsCompete)
            {
                Parallel.ForEach(
                    queue,
                    options,
                    i => statuses[i] = resting[i].Beds.RestScalar(duration, resting[i].Temperature)
                );
                continue;
            }

            switch (LanesFor(queue.Length))
            {
                case 1:
                    Stand<Lanes1>(resting, queue, steps, options, statuses);
                    break;
                case 4:
                    Stand<Lanes4>(resting, queue, steps, options, statuses);
                    break;
                default:
                    Stand<Lanes8>(resting, queue, steps, options, statuses);
                    break;
            }
        }

        return [.. statuses];
    }

    /// <summary>The width of lanes that serves a number of series of one structure best.</summary>
    private static int LanesFor(int series) =>
        series == 1 ? Lanes1.Count
        : series > Lanes4.Count && Vector512.IsHardwareAccelerated ? Lanes8.Count
        : Lanes4.Count;

    /// <summary>Runs draws of one structure in blocks of lanes, which take from the queue until it is empty.</summary>
    private static void Draw<TLanes>(
        LaneWork[] queue,
        ParallelOptions options,
        BedRunStatus[] statuses,
        SharedProgress progress,
        CancellationToken cancellation
    )
        where TLanes : unmanaged, ILanes<TLanes>
    {
        int taken = 0;
        LaneWork? Next()
        {
            int place = Interlocked.Increment(ref taken) - 1;
            return place < queue.Length ? queue[place] : null;
        }

        Parallel.For(
            0,
            (queue.Length + TLanes.Count - 1) / TLanes.Count,
            options,
            _ =>
            {
                if (Next() is { } first)
                {
                    new LaneBlock<TLanes>(first, Next, statuses, progress).Run(cancellation);
                }
            }
        );
    }

    /// <summary>Leaves series of one structure standing, as many at once as there are lanes.</summary>
    private static void Stand<TLanes>(
        IReadOnlyList<(BedSeries Beds, Temperature Temperature)> resting,
        int[] queue,
        double[] steps,
        ParallelOptions options,
        BedRunStatus[] statuses
    )
        where TLanes : unmanaged, ILanes<TLanes>
    {
        Parallel.ForEach(
            queue.Chunk(TLanes.Count),
            options,
            () => new LaneRest<TLanes>(resting[queue[0]]),
            (some, _, lanes) =>
            {
                TLanes solved = lanes.Run([.. some.Select(i => resting[i])], steps);
                for (int lane = 0; lane < some.Length; lane++)
                {
                    statuses[some[lane]] =
                        (solved.Bits >> lane & 1) == 1 ? BedRunStatus.Completed : BedRunStatus.NotConverged;
                }

                return lanes;
            },
            _ => { }
        );
    }

    private static BedRunStatus Alone(BedDraw draw, CancellationToken cancellation) =>
        draw.Beds.AdvanceScalar(
            draw.Totals.Span,
            draw.Temperature,
            draw.Flow,
            draw.Volume,
            cancellation: cancellation
        );
}
