namespace Rinsewright.Treatment.Beds;

/// <summary>
/// H+ of the water between the beads from electroneutrality with the ionic product of water and every weak acid and base.
/// </summary>
internal static class BulkAcidity
{
    private const int MaxIterations = 60;

    /// <summary>Least H+ considered [mol/m³].</summary>
    public const double Lowest = 1e-12;

    /// <summary>Most H+ considered [mol/m³].</summary>
    public const double Highest = 1e4;

    /// <summary>Concentration of H+ [mol/m³]; the root is unique because the charge grows with H+.</summary>
    /// <param name="k">Coefficients of the bed.</param>
    /// <param name="liquid">Totals of the ions of the run [mol/m³].</param>
    /// <param name="start">First guess [mol/m³].</param>
    public static double Solve(BedCoefficients k, ReadOnlySpan<double> liquid, double start)
    {
        double strong = 0;
        for (int i = 0; i < liquid.Length; i++)
        {
            if (!k.Weak[i])
            {
                strong += k.Charge[i] * liquid[i];
            }
        }

        double low = Lowest;
        double high = Highest;
        double h = Math.Clamp(start, Lowest, Highest);
        for (int iteration = 0; iteration < MaxIterations; iteration++)
        {
            double hydroxide = k.Kw / h;
            double charge = strong + h - hydroxide; // eq. exchange-bed-8
            double slope = h + hydroxide; // d(charge)/d(ln H)
            for (int i = 0; i < liquid.Length; i++)
            {
                if (!k.Weak[i])
                {
                    continue;
                }

                double gained = h * k.ProtonGain[i];
                double lost = k.ProtonLoss[i] / h;
                double forms = 1 + gained + lost;
                double total = Math.Max(liquid[i], 0);
                double excess = (gained - lost) / forms; // mean number of protons gained
                charge += total * (k.Charge[i] + excess);
                slope += total * ((gained + lost) / forms - excess * excess);
            }

            if (charge > 0)
            {
                high = h;
            }
            else
            {
                low = h;
            }

            double step = charge / slope;
            double next = step < 1 ? h * (2 - step) / (2 + Math.Max(step, -1)) : h / 3;
            if (!(next > low && next < high))
            {
                next = Math.Sqrt(low * high);
            }

            if (Math.Abs(next - h) <= 1e-12 * h)
            {
                return next;
            }

            h = next;
        }

        return h;
    }
}
