using System.Collections.Immutable;
using System.Runtime.Intrinsics;

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

        foreach (IGrouping<string, LaneWork> alike in works.GroupBy(w => w.Structure, StringComparer.Ordinal))
        {
            LaneWork[] queue = [.. alike];
            if (queue[0].ResinsCompete)
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

            if (queue.Length == 1)
            {
                Run<Lanes1>(queue, options, statuses, told, cancellation);
            }
            else if (queue.Length > Lanes4.Count && Vector512.IsHardwareAccelerated)
            {
                Run<Lanes8>(queue, options, statuses, told, cancellation);
            }
            else
            {
                Run<Lanes4>(queue, options, statuses, told, cancellation);
            }
        }

        return [.. statuses];
    }

    /// <summary>Runs draws of one structure in blocks of lanes, which take from the queue until it is empty.</summary>
    private static void Run<TLanes>(
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

    private static BedRunStatus Alone(BedDraw draw, CancellationToken cancellation) =>
        draw.Beds.AdvanceScalar(
            draw.Totals.Span,
            draw.Temperature,
            draw.Flow,
            draw.Volume,
            cancellation: cancellation
        );
}
