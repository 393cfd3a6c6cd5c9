namespace Rinsewright.Water;

/// <summary>One look at a meter in a reference solution.</summary>
/// <param name="Reference">True specific conductance of the solution [µS/cm].</param>
/// <param name="ReferenceUncertainty">Its standard uncertainty [µS/cm].</param>
/// <param name="Reading">What the meter showed, in specific conductance [µS/cm]: a TDS reading over the factor.</param>
/// <param name="ReadingUncertainty">Standard uncertainty of one reading: repeatability and display step (step/√12) [µS/cm].</param>
public sealed record BenchCheck(
    double Reference,
    double ReferenceUncertainty,
    double Reading,
    double ReadingUncertainty
);

/// <summary>A value with the standard uncertainty of a normal distribution, both in the same unit.</summary>
/// <param name="Mean">Mean [any].</param>
/// <param name="StandardDeviation">Standard deviation [any].</param>
public sealed record NormalEstimate(double Mean, double StandardDeviation)
{
    private const double NinetyPercent = 1.6448536269514722;

    /// <summary>Lower end of the interval that holds the value with 90 % probability [any].</summary>
    public double Lower => Mean - NinetyPercent * StandardDeviation;

    /// <summary>Upper end of that interval [any].</summary>
    public double Upper => Mean + NinetyPercent * StandardDeviation;
}

/// <summary>
/// What is known of a meter's gain and offset: a normal distribution of both, updated by bench checks. Exact (conjugate)
/// Bayesian linear regression with known variances (key <c>bishop2006</c>, 3.3); the uncertainty of the reference solution is
/// carried to the reading by the gain expected beforehand. Immutable.
/// </summary>
/// <param name="Gain">Expected gain [-].</param>
/// <param name="Offset">Expected offset [µS/cm].</param>
/// <param name="GainVariance">Variance of the gain [-].</param>
/// <param name="OffsetVariance">Variance of the offset [µS²/cm²].</param>
/// <param name="Covariance">Covariance of both [µS/cm].</param>
public sealed record MeterCalibration(
    double Gain,
    double Offset,
    double GainVariance,
    double OffsetVariance,
    double Covariance
)
{
    /// <summary>
    /// A pocket meter nobody has checked: gain 1 ± 0.05, offset 0 ± 2 µS/cm (our choice, standard deviations).
    /// </summary>
    public static MeterCalibration Unchecked { get; } = new(1, 0, 0.05 * 0.05, 2 * 2, 0);

    /// <summary>What is known after one more check.</summary>
    /// <param name="check">The check.</param>
    /// <exception cref="ArgumentOutOfRangeException">The check has no finite positive uncertainty.</exception>
    public MeterCalibration After(BenchCheck check)
    {
        double carried = Gain * check.ReferenceUncertainty;
        double noise = check.ReadingUncertainty * check.ReadingUncertainty + carried * carried;
        if (!double.IsFinite(noise) || noise <= 0)
        {
            throw new ArgumentOutOfRangeException(
                nameof(check),
                noise,
                "A check needs a positive uncertainty."
            );
        }

        double x = check.Reference;
        double gainWeight = GainVariance * x + Covariance;
        double offsetWeight = Covariance * x + OffsetVariance;
        double predicted = noise + gainWeight * x + offsetWeight; // eq. water-34
        double surprise = check.Reading - (Gain * x + Offset);
        return new MeterCalibration(
            Gain + gainWeight / predicted * surprise,
            Offset + offsetWeight / predicted * surprise,
            GainVariance - gainWeight * gainWeight / predicted,
            OffsetVariance - offsetWeight * offsetWeight / predicted,
            Covariance - gainWeight * offsetWeight / predicted
        ); // eq. water-35
    }

    /// <summary>What is known after several checks, in any order up to the small carrying of the reference's uncertainty.</summary>
    /// <param name="checks">The checks.</param>
    public MeterCalibration After(IEnumerable<BenchCheck> checks) =>
        checks.Aggregate(this, (known, check) => known.After(check));

    /// <summary>What the meter will show of a water [µS/cm].</summary>
    /// <param name="conductance">True specific conductance [µS/cm].</param>
    /// <param name="readingUncertainty">Standard uncertainty of one reading [µS/cm].</param>
    public NormalEstimate Predict(double conductance, double readingUncertainty) =>
        new(
            Gain * conductance + Offset,
            Math.Sqrt(Spread(conductance) + readingUncertainty * readingUncertainty)
        );

    /// <summary>The true specific conductance behind a reading [µS/cm], to first order in the uncertainty of the gain.</summary>
    /// <param name="reading">What the meter shows, in specific conductance [µS/cm].</param>
    /// <param name="readingUncertainty">Standard uncertainty of one reading [µS/cm].</param>
    public NormalEstimate Correct(double reading, double readingUncertainty)
    {
        double conductance = (reading - Offset) / Gain;
        double spread = Spread(conductance) + readingUncertainty * readingUncertainty;
        return new NormalEstimate(conductance, Math.Sqrt(spread) / Math.Abs(Gain)); // eq. water-36
    }

    private double Spread(double conductance) =>
        GainVariance * conductance * conductance + 2 * Covariance * conductance + OffsetVariance;
}
