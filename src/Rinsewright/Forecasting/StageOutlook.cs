using System.Collections.Immutable;
using Rinsewright.Numerics;
using Rinsewright.Treatment;

namespace Rinsewright.Forecasting;

/// <summary>What is left of a stage.</summary>
/// <param name="LitersLeft">Logged litres left, 0 when it is spent, of equal weight, ascending [L].</param>
/// <param name="WeeksLeft">Weeks left at the expected rate and its scatter, ascending [week].</param>
/// <param name="PassedNow">Probability that it is spent now [-].</param>
public record StageOutlook(
    ImmutableArray<double> LitersLeft,
    ImmutableArray<double> WeeksLeft,
    double PassedNow
)
{
    /// <summary>Median and 5 % and 95 % quantiles of the litres left [L].</summary>
    public Band Liters => Band.Of(LitersLeft);

    /// <summary>Median and 5 % and 95 % quantiles of the weeks left [week].</summary>
    public Band Weeks => Band.Of(WeeksLeft);

    /// <summary>The outlook of members of equal weight.</summary>
    /// <param name="left">Litres left by each, negative where it is past its end [L].</param>
    /// <param name="usage">How fast water will be drawn.</param>
    /// <param name="seed">Seed of the chance in that.</param>
    internal static StageOutlook Of(IReadOnlyCollection<double> left, Usage usage, int seed)
    {
        var random = new Random(seed);
        double[] weeks = [.. left.Select(l => WeeksFor(Math.Max(l, 0), usage, random))];
        return new StageOutlook(
            [.. left.Select(l => Math.Max(l, 0)).Order()],
            [.. weeks.Order()],
            left.Count(l => l <= 0) / (double)left.Count
        );
    }

    private static double WeeksFor(double liters, Usage usage, Random random)
    {
        double rate = usage.LitersPerWeek * Math.Exp(usage.RelativeSd * NormalDistribution.Draw(random));
        double weeks = liters / rate;
        return Math.Max(
            weeks + usage.WeeklySd * Math.Sqrt(Math.Min(weeks, 1e6)) * NormalDistribution.Draw(random),
            0
        );
    }
}
