using Rinsewright.Numerics;

namespace Rinsewright.Tests.Forecasting;

/// <summary>Quantiles of the normal distribution, by bisection.</summary>
internal static class Normal
{
    public static double Quantile(double probability)
    {
        double low = -10;
        double high = 10;
        for (int i = 0; i < 60; i++)
        {
            double middle = 0.5 * (low + high);
            (low, high) =
                NormalDistribution.Probability(middle) < probability ? (middle, high) : (low, middle);
        }

        return low;
    }
}
