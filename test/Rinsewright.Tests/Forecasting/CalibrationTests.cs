namespace Rinsewright.Tests.Forecasting;

public sealed class CalibrationTests
{
    /// <summary>
    /// A sample of the long run in docs/models/forecast.md; the limits are those of chance at four standard errors and three
    /// points of the claim itself.
    /// </summary>
    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Intervals_hold_the_truth_as_often_as_they_say(bool wrongWorld)
    {
        const int rigs = 40;
        SyntheticRigs.World world = wrongWorld ? new(StretchMean: -0.1, BadReadings: 0.05) : new();
        Calibration found = Calibration.Of(rigs, 400, 11, world);
        Assert.InRange(found.Covered80, 0.8 - 0.03 - 4 * Math.Sqrt(0.8 * 0.2 / rigs), 1);
        Assert.InRange(found.Covered95, 0.95 - 0.03 - 4 * Math.Sqrt(0.95 * 0.05 / rigs), 1);
        Assert.InRange(found.Unevenness(5), 0, wrongWorld ? 8 : 4.5);
    }
}
