using System.Runtime.InteropServices;

namespace Rinsewright.Web.Estimates;

/// <summary>A number with its range: nine times in ten it lies from <paramref name="Low"/> to <paramref name="High"/>.</summary>
[StructLayout(LayoutKind.Auto)]
public readonly record struct Interval(double Low, double Middle, double High)
{
    public static Interval Exactly(double value) => new(value, value, value);

    /// <summary>Median, and the values that one in twenty falls short of or exceeds.</summary>
    public static Interval Of(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return new(Quantile(sorted, 0.05), Quantile(sorted, 0.5), Quantile(sorted, 0.95));
    }

    public Interval Select(Func<double, double> rising) => new(rising(Low), rising(Middle), rising(High));

    private static double Quantile(double[] sorted, double probability)
    {
        double place = probability * (sorted.Length - 1);
        int low = (int)place;
        double share = place - low;
        // Two infinite neighbours have no difference.
        return share < 1e-12 || sorted[low].Equals(sorted[low + 1])
            ? sorted[low]
            : sorted[low] + (share * (sorted[low + 1] - sorted[low]));
    }
}
