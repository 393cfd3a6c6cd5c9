using System.Runtime.InteropServices;
using Rinsewright.Treatment;

namespace Rinsewright.Handouts.Lives;

/// <summary>A number with its range: nine times in ten it lies from <paramref name="Low"/> to <paramref name="High"/>.</summary>
[StructLayout(LayoutKind.Auto)]
public readonly record struct Interval(double Low, double Middle, double High)
{
    /// <summary>Median, and the values that one in twenty falls short of or exceeds.</summary>
    public static Interval Of(IEnumerable<double> values) => Of(Band.Of(values));

    public static Interval Of(Band band) => new(band.P05, band.Median, band.P95);

    public Interval Select(Func<double, double> rising) => new(rising(Low), rising(Middle), rising(High));
}
