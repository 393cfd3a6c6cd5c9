using System.Collections.Immutable;

namespace Rinsewright.Water;

/// <summary>The middle of some values and how they scatter about it, untouched by fewer than half of them being wrong.</summary>
/// <param name="Median">Their median [any].</param>
/// <param name="Spread">Standard deviation of a normal distribution with their median absolute deviation [any].</param>
/// <param name="Count">How many there are.</param>
public sealed record RobustLevel(double Median, double Spread, int Count)
{
    /// <summary>Standard error of the median of independent normal values [any].</summary>
    public double StandardError => Math.Sqrt(Math.PI / 2 / Count) * Spread; // eq. inline-5
}

/// <summary>
/// Tells the spikes of a probe in the line (a bubble, a pump's start, a lost bit) from the water's own changes: a value that
/// lies far from the median of its neighbours in time, counted in their own scatter, is a spike (the Hampel identifier; key
/// <c>pearson2016</c>). A step or a slope of the water passes, as the median follows it. See docs/models/inline.md.
/// </summary>
/// <param name="HalfWidth">How far in time a neighbour may lie, before and after.</param>
/// <param name="Threshold">How many standard deviations from the median are too many [-].</param>
/// <param name="FloorShare">Least standard deviation that neighbours are believed to have, as a share of their median [-].</param>
/// <param name="Floor">The same as a value, for instance half the step of the display [any].</param>
public sealed record InlineFilter(TimeSpan HalfWidth, double Threshold, double FloorShare, double Floor)
{
    /// <summary>Neighbours below which nothing can be called a spike: with four, two spikes outvote the water.</summary>
    public const int LeastNeighbours = 5;

    /// <summary>Ratio of the standard deviation to the median absolute deviation of a normal distribution [-].</summary>
    public const double NormalScale = 1.4826;

    /// <summary>Five minutes to each side, three standard deviations, one per cent (our choice; three is the usual).</summary>
    public static InlineFilter Usual { get; } = new(TimeSpan.FromMinutes(5), 3, 0.01, 0);

    /// <summary>Median and spread of values.</summary>
    /// <param name="values">The values, at least one, in any order [any].</param>
    public static RobustLevel LevelOf(ReadOnlySpan<double> values)
    {
        if (values.IsEmpty)
        {
            throw new ArgumentException("A level needs at least one value.", nameof(values));
        }

        double[] work = values.ToArray();
        double median = MedianOf(work); // eq. inline-1
        for (int i = 0; i < work.Length; i++)
        {
            work[i] = Math.Abs(work[i] - median);
        }

        return new RobustLevel(median, NormalScale * MedianOf(work), values.Length); // eq. inline-2
    }

    /// <summary>Says of each value whether it is a spike.</summary>
    /// <param name="at">When each was read, in the order of time.</param>
    /// <param name="values">The values [any].</param>
    public ImmutableArray<bool> SpikesOf(ReadOnlySpan<DateTimeOffset> at, ReadOnlySpan<double> values)
    {
        if (at.Length != values.Length)
        {
            throw new ArgumentException("Every value has its instant.", nameof(values));
        }

        ImmutableArray<bool>.Builder spikes = ImmutableArray.CreateBuilder<bool>(values.Length);
        int first = 0;
        int end = 0;
        for (int i = 0; i < values.Length; i++)
        {
            if (i > 0 && at[i] < at[i - 1])
            {
                throw new ArgumentException("Instants are in the order of time.", nameof(at));
            }

            while (at[first] < at[i] - HalfWidth)
            {
                first++;
            }

            while (end < at.Length && at[end] <= at[i] + HalfWidth)
            {
                end++;
            }

            spikes.Add(end - first >= LeastNeighbours && IsFar(values[i], LevelOf(values[first..end])));
        }

        return spikes.MoveToImmutable();
    }

    private bool IsFar(double value, RobustLevel around)
    {
        double scatter = Math.Max(around.Spread, Math.Max(Floor, FloorShare * Math.Abs(around.Median))); // eq. inline-3
        return Math.Abs(value - around.Median) > Threshold * scatter; // eq. inline-4
    }

    private static double MedianOf(double[] values)
    {
        Array.Sort(values);
        int half = values.Length / 2;
        return values.Length % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2;
    }
}
