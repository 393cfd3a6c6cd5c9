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

        var drawing = new Drawing(
            draws,
            OptionsFor(threads),
            new SharedProgress(progress, draws.Count),
            cancellation
        );
        ByStructure(draws.Count, i => draws[i].Beds, drawing);
        return [.. drawing.Statuses];
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
        var standing = new Standing(resting, duration, OptionsFor(threads));
        ByStructure(resting.Count, i => resting[i].Beds, standing);
        return [.. standing.Statuses];
    }

    private static ParallelOptions OptionsFor(int threads) =>
        new() { MaxDegreeOfParallelism = threads > 0 ? threads : -1 };

    /// <summary>Does some work with every series: with those of one structure in lanes, with those that lanes do not solve one by one.</summary>
    /// <param name="count">Number of series.</param>
    /// <param name="series">The series by its number.</param>
    /// <param name="work">The work.</param>
    private static void ByStructure(int count, Func<int, BedSeries> series, Work work)
    {
        foreach (
            IGrouping<string, int> alike in Enumerable
                .Range(0, count)
                .GroupBy(i => series(i).Structure, StringComparer.Ordinal)
        )
        {
            int[] queue = [.. alike];
            if (series(queue[0]).ResinsCompete)
            {
                Parallel.ForEach(queue, work.Options, i => work.Statuses[i] = work.Alone(i));
                continue;
            }

            switch (LanesFor(queue.Length))
            {
                case 1:
                    work.InLanes<Lanes1>(queue);
                    break;
                case 4:
                    work.InLanes<Lanes4>(queue);
                    break;
                default:
                    work.InLanes<Lanes8>(queue);
                    break;
            }
        }
    }

    /// <summary>The width of lanes that serves a number of series of one structure best.</summary>
    private static int LanesFor(int series) =>
        series == 1 ? Lanes1.Count
        : series > Lanes4.Count && Vector512.IsHardwareAccelerated ? Lanes8.Count
        : Lanes4.Count;

    /// <summary>What is done with many series at once.</summary>
    private abstract class Work(int count, ParallelOptions options)
    {
        /// <summary>How it ended, by the number of the series; not converged until it has.</summary>
        public BedRunStatus[] Statuses { get; } = [.. Enumerable.Repeat(BedRunStatus.NotConverged, count)];

        public ParallelOptions Options { get; } = options;

        /// <summary>Does it with one series, by the readable form.</summary>
        public abstract BedRunStatus Alone(int index);

        /// <summary>Does it with some series of one structure.</summary>
        public abstract void InLanes<TLanes>(int[] queue)
            where TLanes : unmanaged, ILanes<TLanes>;
    }

    /// <summary>Draws, in blocks of lanes that take from the queue until it is empty.</summary>
    private sealed class Drawing : Work
    {
        private readonly IReadOnlyList<BedDraw> _draws;
        private readonly LaneWork[] _works;
        private readonly SharedProgress _progress;
        private readonly CancellationToken _cancellation;

        public Drawing(
            IReadOnlyList<BedDraw> draws,
            ParallelOptions options,
            SharedProgress progress,
            CancellationToken cancellation
        )
            : base(draws.Count, options)
        {
            _draws = draws;
            _works = new LaneWork[draws.Count];
            _progress = progress;
            _cancellation = cancellation;
            Parallel.For(0, draws.Count, options, i => _works[i] = new LaneWork(draws[i], i));
        }

        public override BedRunStatus Alone(int index)
        {
            BedDraw draw = _draws[index];
            BedRunStatus status = draw.Beds.AdvanceScalar(
                draw.Totals.Span,
                draw.Temperature,
                draw.Flow,
                draw.Volume,
                cancellation: _cancellation
            );
            _progress.Add(1);
            return status;
        }

        public override void InLanes<TLanes>(int[] queue)
        {
            int taken = 0;
            LaneWork? Next()
            {
                int place = Interlocked.Increment(ref taken) - 1;
                return place < queue.Length ? _works[queue[place]] : null;
            }

            Parallel.For(
                0,
                (queue.Length + TLanes.Count - 1) / TLanes.Count,
                Options,
                _ =>
                {
                    if (Next() is { } first)
                    {
                        new LaneBlock<TLanes>(first, Next, Statuses, _progress).Run(_cancellation);
                    }
                }
            );
        }
    }

    /// <summary>Rests, of as many series at once as there are lanes.</summary>
    private sealed class Standing(
        IReadOnlyList<(BedSeries Beds, Temperature Temperature)> resting,
        TimeSpan duration,
        ParallelOptions options
    ) : Work(resting.Count, options)
    {
        private readonly double[] _steps = [.. BedSeries.RestSteps(duration)];

        public override BedRunStatus Alone(int index) =>
            resting[index].Beds.RestScalar(duration, resting[index].Temperature);

        public override void InLanes<TLanes>(int[] queue) =>
            Parallel.ForEach(
                queue.Chunk(TLanes.Count),
                Options,
                () => new LaneRest<TLanes>(resting[queue[0]]),
                (some, _, lanes) =>
                {
                    TLanes solved = lanes.Run([.. some.Select(i => resting[i])], _steps);
                    for (int lane = 0; lane < some.Length; lane++)
                    {
                        if ((solved.Bits >> lane & 1) == 1)
                        {
                            Statuses[some[lane]] = BedRunStatus.Completed;
                        }
                    }

                    return lanes;
                },
                _ => { }
            );
    }
}
