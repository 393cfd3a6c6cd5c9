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
    [InlineData("as believed", 33, 37)]
    [InlineData("one reading in twenty is nonsense", 33, 38)]
    [InlineData("fills last a tenth longer than believed", 34, 37)]
    public void Intervals_hold_the_truth_as_often_as_they_say(string world, int within80, int within95)
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
        else
        {
            // The same rigs each time: how many were held when this was last looked at, two of them left to the arithmetic of a machine.
            (double held80, double held95) = (found.Covered80 * rigs, found.Covered95 * rigs);
            Assert.True(
                Math.Abs(held80 - within80) < 2.5 && Math.Abs(held95 - within95) < 2.5,
                $"{held80} and {held95} of {rigs}"
            );
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
