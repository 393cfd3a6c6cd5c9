using System.Globalization;

namespace Rinsewright.Cli;

/// <summary>An axis whose ticks are round numbers and which holds all its values.</summary>
internal sealed class AxisScale
{
    private AxisScale(double low, double high, double step)
    {
        Low = low;
        High = high;
        int count = (int)Math.Round((high - low) / step);
        Ticks = [.. Enumerable.Range(0, count + 1).Select(i => low + (i * step))];
        int decimals = Math.Max(0, -(int)Math.Floor(Math.Log10(step) + 1e-9));
        Format = "#,0." + new string('0', decimals);
    }

    public double Low { get; }

    public double High { get; }

    public IReadOnlyList<double> Ticks { get; }

    private string Format { get; }

    /// <summary>Chooses steps of 1, 2 or 5 times a power of ten.</summary>
    /// <param name="low">Least value.</param>
    /// <param name="high">Greatest value.</param>
    /// <param name="intervals">Greatest number of intervals between ticks.</param>
    public static AxisScale Covering(double low, double high, int intervals)
    {
        if (!(high > low))
        {
            double half = low == 0 ? 1 : Math.Abs(low) / 2;
            (low, high) = (low - half, low + half);
        }

        double power = Math.Pow(10, Math.Floor(Math.Log10((high - low) / intervals)));
        foreach (double step in new[] { power, 2 * power, 5 * power, 10 * power, 20 * power })
        {
            // A value that misses a tick by rounding alone does not open another interval.
            double first = Math.Floor((low / step) + 1e-9);
            double last = Math.Ceiling((high / step) - 1e-9);
            if (last - first <= intervals)
            {
                return new AxisScale(first * step, last * step, step);
            }
        }

        return new AxisScale(low, high, high - low);
    }

    public string Label(double tick) => tick.ToString(Format, CultureInfo.InvariantCulture);

    /// <summary>Place of a value on the axis, 0 at its low end and 1 at its high end.</summary>
    public double Share(double value) => (value - Low) / (High - Low);
}
