using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;

namespace Rinsewright.Records.Forecasts;

/// <summary>Asks kept quantiles, at even probabilities from 0 to 1, nothing where what is forecast is not reached.</summary>
public static class KeptQuantiles
{
    /// <summary>The quantile at a probability; nothing where it is out of sight, in the unit of the quantiles.</summary>
    /// <param name="quantiles">As kept.</param>
    /// <param name="probability">0 to 1 [-].</param>
    public static double? At(double?[] quantiles, double probability) =>
        quantiles[(int)Math.Round(probability * (quantiles.Length - 1))];

    /// <summary>The median and nine in ten; infinite where that is out of sight.</summary>
    /// <param name="quantiles">As kept.</param>
    /// <param name="factor">Times what they are asked for.</param>
    public static Band BandOf(double?[] quantiles, double factor)
    {
        double Of(double probability) => factor * At(quantiles, probability) ?? double.PositiveInfinity;
        return new Band(Of(0.5), Of(0.05), Of(0.95));
    }

    /// <summary>Probability that it comes within some days, straight between the quantiles [-].</summary>
    /// <param name="quantiles">As kept [d].</param>
    /// <param name="days">Days from the moment of the forecast [d]; before it nothing more is known than at it.</param>
    public static double ChanceBy(double?[] quantiles, double days)
    {
        double at = Math.Max(days, 0);
        int last = quantiles.Length - 1;
        int below = Array.FindLastIndex(quantiles, q => q <= at);
        if (below < 0 || below == last)
        {
            return below < 0 ? 0 : 1;
        }

        // Some way to the next, which lies later; none of it where that is out of sight.
        double step = quantiles[below + 1] is { } next
            ? (at - quantiles[below]!.Value) / (next - quantiles[below]!.Value)
            : 0;
        return (below + step) / last;
    }

    /// <summary>The instant that lies some kept days after another; nothing where that is out of sight.</summary>
    internal static DateTimeOffset? After(DateTimeOffset from, double? days) =>
        days is { } d && d < (DateTimeOffset.MaxValue - from).TotalDays - 1
            ? Instant.Round(from.AddDays(d))
            : null;
}
