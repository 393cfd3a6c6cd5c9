namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>
/// Closed forms of a bed with one transfer resistance (keys <c>thomas1944</c>, <c>hiester1952</c>), as an oracle for the bed.
/// </summary>
internal static class JFunction
{
    /// <summary>J(a, b) = 1 − e^−b ∫₀ᵃ e^−t I₀(2√(bt)) dt, as Σ Poisson(k; b) · P(at most k; a).</summary>
    public static double Value(double a, double b) => Sum(a, b, upTo: true);

    /// <summary>1 − J(a, b) without the loss of digits of a subtraction.</summary>
    public static double Complement(double a, double b) => Sum(a, b, upTo: false);

    /// <summary>Outlet fraction of a bed with second-order kinetics.</summary>
    /// <param name="r">Separation factor.</param>
    /// <param name="units">Transfer units N.</param>
    /// <param name="throughput">Throughput ratio T.</param>
    public static double Thomas(double r, double units, double throughput)
    {
        double j = Value(r * units, units * throughput);
        double rest = Complement(units, r * units * throughput);
        return j / (j + (rest * Math.Exp((r - 1) * units * (throughput - 1))));
    }

    private static double Sum(double a, double b, bool upTo)
    {
        double widest = Math.Max(a, b);
        int last = (int)(widest + (14 * Math.Sqrt(widest)) + 60);
        double[] inner = Poisson(a, last);
        double[] outer = Poisson(b, last);
        double tail = 0;
        double sum = 0;
        if (upTo)
        {
            for (int k = 0; k <= last; k++)
            {
                tail += inner[k];
                sum += outer[k] * tail;
            }

            return sum;
        }

        for (int k = last; k >= 0; k--)
        {
            sum += outer[k] * tail;
            tail += inner[k];
        }

        return sum;
    }

    private static double[] Poisson(double mean, int last)
    {
        var p = new double[last + 1];
        p[0] = Math.Exp(-mean);
        for (int k = 1; k <= last; k++)
        {
            p[k] = p[k - 1] * mean / k;
        }

        return p;
    }
}
