namespace Rinsewright.Numerics;

/// <summary>The standard normal distribution.</summary>
internal static class NormalDistribution
{
    private static readonly double InverseRootTwoPi = 1 / Math.Sqrt(2 * Math.PI);

    /// <summary>Density φ(x) [-].</summary>
    /// <param name="x">Place [-].</param>
    public static double Density(double x) => InverseRootTwoPi * Math.Exp(-0.5 * x * x);

    /// <summary>
    /// Probability Φ(x) [-], by a continued fraction in the tails and a series between, both to round-off.
    /// </summary>
    /// <param name="x">Place [-].</param>
    public static double Probability(double x)
    {
        if (Math.Abs(x) > 3)
        {
            double tail = Density(x) / TailFraction(Math.Abs(x));
            return x < 0 ? tail : 1 - tail;
        }

        double term = x;
        double sum = x;
        for (int k = 1; Math.Abs(term) > 1e-17 * Math.Abs(sum); k++)
        {
            term *= x * x / ((2 * k) + 1);
            sum += term;
        }

        return 0.5 + (sum * Density(x));
    }

    /// <summary>One draw, by the polar method of Marsaglia (key <c>marsaglia1964</c>).</summary>
    /// <param name="random">A seeded stream.</param>
    public static double Draw(Random random)
    {
        while (true)
        {
            double u = (2 * random.NextDouble()) - 1;
            double v = (2 * random.NextDouble()) - 1;
            double s = (u * u) + (v * v);
            if (s is > 0 and < 1)
            {
                return u * Math.Sqrt(-2 * Math.Log(s) / s);
            }
        }
    }

    /// <summary>φ(x)/(1 − Φ(x)) for x above 3: the continued fraction x + 1/(x + 2/(x + 3/(x + …))).</summary>
    private static double TailFraction(double x)
    {
        double fraction = x;
        for (int k = 60; k >= 1; k--)
        {
            fraction = x + (k / fraction);
        }

        return fraction;
    }
}
