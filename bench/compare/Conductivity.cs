namespace Rinsewright.Compare;

/// <summary>Conductivity at 25 °C by the case's simple sum of molar conductivities, no concentration correction [µS/cm].</summary>
internal static class Conductivity
{
    private static readonly double[] Molar = [50.1, 73.5, 106, 119, 76.3, 71.4, 160]; // [S·cm²/mol]

    public static double[] OfCurve(BedCase bed, Curve curve)
    {
        double h = 1e-4;
        return
        [
            .. curve.Liters.Select(
                (_, p) =>
                {
                    double[] water = [.. curve.Concentration.Select(c => c[p])];
                    h = Hydrogen(bed, water, h);
                    return Of(bed, water, h);
                }
            ),
        ];
    }

    private static double Of(BedCase bed, double[] water, double h)
    {
        double sum = 349.8 * h + 198.6 * Kw(bed) / h;
        for (int i = 0; i < Molar.Length; i++)
        {
            sum += Molar[i] * water[i];
        }

        (double k1, double k2) = (K(bed, "pK1"), K(bed, "pK2"));
        double d = h * h + k1 * h + k1 * k2;
        return sum + water[Curve.TotalCarbon] * (44.5 * k1 * h + 2 * 69.3 * k1 * k2) / d;
    }

    /// <summary>H+ at which the water is neutral [mol/m³]: the charge rises with H+, so halving finds it.</summary>
    private static double Hydrogen(BedCase bed, double[] water, double guess)
    {
        double strong = 0;
        for (int i = 0; i < Molar.Length; i++)
        {
            strong += (i < 4 ? 1 : -1) * Curve.ChargeOf(Curve.Ions[i]) * water[i];
        }

        double low = Math.Log(guess) - 40;
        double high = low + 80;
        for (int i = 0; i < 60; i++)
        {
            double h = Math.Exp((low + high) / 2);
            double charge = strong + h - Kw(bed) / h - WeakAnions(bed, water, h);
            (low, high) = charge > 0 ? (low, (low + high) / 2) : ((low + high) / 2, high);
        }

        return Math.Exp((low + high) / 2);
    }

    private static double WeakAnions(BedCase bed, double[] water, double h)
    {
        (double k1, double k2, double ks) = (K(bed, "pK1"), K(bed, "pK2"), K(bed, "pK_silica"));
        double carbonate = (k1 * h + 2 * k1 * k2) / (h * h + k1 * h + k1 * k2);
        return water[Curve.TotalCarbon] * carbonate + water[Curve.Silica] * ks / (h + ks);
    }

    private static double K(BedCase bed, string name) => 1e3 * Math.Pow(10, -bed.Number(name));

    private static double Kw(BedCase bed) => 1e6 * Math.Pow(10, -bed.Number("pKw"));
}
