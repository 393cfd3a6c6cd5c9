using System.Globalization;

namespace Rinsewright.Tests.Forecasting;

public sealed class CalibrationTests
{
    private const int Seed = 11;
    private const int Sample = 40;
    private const int SampleMembers = 400;
    private const int LongMembers = 1000;

    /// <summary>
    /// A sample of the long run that <see cref="CoverageEvidence"/> reads; the limits are those of chance at four standard errors
    /// and three points of the claim itself. RINSEWRIGHT_LONG_RUN=1000 makes the long run of so many rigs and writes it down.
    /// </summary>
    [Theory]
    [InlineData("as believed")]
    [InlineData("one reading in twenty is nonsense")]
    [InlineData("fills last a tenth longer than believed")]
    public void Intervals_hold_the_truth_as_often_as_they_say(string world)
    {
        int rigs = Sample;
        int members = SampleMembers;
        string? asked = Environment.GetEnvironmentVariable("RINSEWRIGHT_LONG_RUN");
        if (asked is not null)
        {
            rigs = int.Parse(asked, CultureInfo.InvariantCulture);
            members = LongMembers;
        }

        Calibration found = Calibration.Of(rigs, members, Seed, CoverageEvidence.Worlds[world]);
        if (asked is not null)
        {
            CoverageEvidence.Keep(world, members, found);
        }

        Assert.InRange(found.Covered80, 0.8 - 0.03 - 4 * Math.Sqrt(0.8 * 0.2 / rigs), 1);
        Assert.InRange(found.Covered95, 0.95 - 0.03 - 4 * Math.Sqrt(0.95 * 0.05 / rigs), 1);
        if (CoverageEvidence.Worlds[world].StretchMean is null)
        {
            // Ranks are even only where the world is as the forecast believes.
            Assert.InRange(found.Unevenness(5), 0, 8);
        }
    }
}
