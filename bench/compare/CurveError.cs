namespace Rinsewright.Compare;

/// <summary>
/// How far a curve lies from the converged one. For every ion: largest difference over the curve, divided by the larger of
/// its feed and its own greatest value. Silica leaves in a slug above its feed and is kept apart.
/// </summary>
/// <param name="WorstIon">The ion, silica apart, that is farthest off.</param>
/// <param name="Worst">Its error [-].</param>
/// <param name="Slug">Error of silica over the curve [-].</param>
/// <param name="SlugPeak">Relative error of the height of silica's peak [-].</param>
/// <param name="ConductivityLine">Relative difference of the litres to 10 µS/cm [-].</param>
/// <param name="SilicaLine">Relative difference of the litres to 1 mg/L silica [-].</param>
internal sealed record CurveError(
    string WorstIon,
    double Worst,
    double Slug,
    double SlugPeak,
    double ConductivityLine,
    double SilicaLine
)
{
    public const double WorstAllowed = 0.01;
    public const double SlugAllowed = 0.02;
    public const double LineAllowed = 0.01;

    private const double ConductivityLimit = 10; // [µS/cm]
    private const double SilicaLimit = 1 / 60.08; // 1 mg/L of SiO2 [mol/m³]

    /// <summary>The largest of the errors, each over what is allowed; at 1 the curve just passes [-].</summary>
    public double OverAllowed =>
        Math.Max(Math.Max(Worst / WorstAllowed, Slug / SlugAllowed), WorstLine / LineAllowed);

    /// <summary>The larger of the relative differences of the litres to the two lines, lines not reached apart [-].</summary>
    public double WorstLine => LineAllowed * Math.Max(OverLine(ConductivityLine), OverLine(SilicaLine));

    public bool Passes => OverAllowed <= 1;

    public static CurveError Of(BedCase bed, Curve curve, Curve converged) =>
        Of(bed, bed.Feed, curve, converged);

    /// <summary>The same for a feed other than the case's [mol/m³].</summary>
    public static CurveError Of(BedCase bed, double[] feed, Curve curve, Curve converged)
    {
        var errors = new double[Curve.Ions.Length];
        for (int i = 0; i < errors.Length; i++)
        {
            double scale = Math.Max(feed[i], converged.Concentration[i].Max());
            errors[i] =
                curve
                    .Concentration[i]
                    .Zip(converged.Concentration[i], (a, b) => Math.Abs(a - b))
                    .Aggregate(0.0, Math.Max) / scale;
            errors[i] = double.IsNaN(errors[i]) ? double.PositiveInfinity : errors[i];
        }

        int worst = Enumerable.Range(0, Curve.Silica).MaxBy(i => errors[i]);
        double peak = converged.Concentration[Curve.Silica].Max();
        return new CurveError(
            Curve.Ions[worst],
            errors[worst],
            errors[Curve.Silica],
            curve.Concentration[Curve.Silica].Max() / peak - 1,
            Line(curve, converged, c => Conductivity.OfCurve(bed, c), ConductivityLimit),
            Line(curve, converged, c => c.Concentration[Curve.Silica], SilicaLimit)
        );
    }

    /// <summary>Volume at which values first rise through a limit [L], or NaN where they never do.</summary>
    public static double LitersTo(double[] liters, double[] values, double limit)
    {
        for (int p = 1; p < values.Length; p++)
        {
            if (values[p - 1] < limit && values[p] >= limit)
            {
                double part = (limit - values[p - 1]) / (values[p] - values[p - 1]);
                return liters[p - 1] + part * (liters[p] - liters[p - 1]);
            }
        }

        return double.NaN;
    }

    /// <summary>NaN where the converged curve does not reach the line, infinite where only the other does not.</summary>
    private static double Line(Curve curve, Curve converged, Func<Curve, double[]> values, double limit)
    {
        double expected = LitersTo(converged.Liters, values(converged), limit);
        double found = LitersTo(curve.Liters, values(curve), limit);
        return double.IsNaN(found) && !double.IsNaN(expected)
            ? double.PositiveInfinity
            : found / expected - 1;
    }

    private static double OverLine(double line) => double.IsNaN(line) ? 0 : Math.Abs(line) / LineAllowed;
}
