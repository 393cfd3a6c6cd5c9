using System.Diagnostics;

namespace Rinsewright.Compare;

/// <summary>Whole lives per second when many are wanted at once, as a forecast wants them.</summary>
/// <param name="Threads">Threads used.</param>
/// <param name="Members">Lives run; no two have the same flow and volume.</param>
/// <param name="Seconds">Time for all of them.</param>
internal sealed record Throughput(int Threads, int Members, double Seconds)
{
    private const int Slices = 56;
    private const double Tolerance = 0.01;

    public double LivesPerSecond => Members / Seconds;

    /// <summary>Runs members that differ by up to 20 % in flow and bed volume.</summary>
    public static Throughput Of(OwnBed bed, int threads, int members)
    {
        long start = Stopwatch.GetTimestamp();
        Parallel.For(
            0,
            members,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            member =>
            {
                double spread = members > 1 ? (double)member / (members - 1) - 0.5 : 0;
                bed.Run(Slices, Tolerance, 1 + 0.4 * spread, 1 - 0.4 * spread);
            }
        );
        return new Throughput(threads, members, Stopwatch.GetElapsedTime(start).TotalSeconds);
    }
}
