namespace Rinsewright.Forecasting;

/// <summary>
/// The stretch of a fill is the water that truly passed over the water that was logged, and with it whatever else makes every
/// fill of a rig last shorter or longer than its design says. Its logarithm is normal about a mean that belongs to the rig;
/// earlier fills teach that mean (normal model with known variances, see docs/models/forecast.md).
/// </summary>
/// <param name="Mean">Mean of the logarithm [-].</param>
/// <param name="Sd">Standard deviation of the logarithm for the next fill [-].</param>
public sealed record StretchPrior(double Mean, double Sd)
{
    /// <summary>Scatter of a rig's fills about the rig's own mean [-] (our choice).</summary>
    public const double BetweenFills = 0.08;

    private const double UsualMean = 0.03;
    private const double BetweenRigs = 0.2;

    /// <summary>For a rig without a past: a little water goes unlogged (our choice).</summary>
    public static StretchPrior Usual { get; } =
        new(UsualMean, Math.Sqrt(BetweenRigs * BetweenRigs + BetweenFills * BetweenFills));

    /// <summary>For a rig with earlier fills.</summary>
    /// <param name="earlier">Posterior mean and standard deviation of the logarithm for each of them [-].</param>
    public static StretchPrior After(IEnumerable<(double Mean, double Sd)> earlier)
    {
        double precision = 1 / (BetweenRigs * BetweenRigs);
        double weighted = UsualMean * precision;
        foreach ((double mean, double sd) in earlier)
        {
            double own = 1 / (sd * sd + BetweenFills * BetweenFills);
            precision += own;
            weighted += own * mean;
        }

        return new StretchPrior(weighted / precision, Math.Sqrt(1 / precision + BetweenFills * BetweenFills)); // eq. forecast-6
    }
}
