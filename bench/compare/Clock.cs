using System.Diagnostics;

namespace Rinsewright.Compare;

/// <summary>Times work that takes milliseconds.</summary>
internal static class Clock
{
    private static readonly TimeSpan WarmUp = TimeSpan.FromMilliseconds(600);

    /// <summary>Median time of some runs, after enough untimed ones for the compiler to have settled [ms].</summary>
    public static double Median(int repeat, Action work)
    {
        long first = Stopwatch.GetTimestamp();
        do
        {
            work();
        } while (Stopwatch.GetElapsedTime(first) < WarmUp);

        var times = new double[repeat];
        for (int n = 0; n < repeat; n++)
        {
            long start = Stopwatch.GetTimestamp();
            work();
            times[n] = Stopwatch.GetElapsedTime(start).TotalMilliseconds;
        }

        Array.Sort(times);
        return times[repeat / 2];
    }
}
