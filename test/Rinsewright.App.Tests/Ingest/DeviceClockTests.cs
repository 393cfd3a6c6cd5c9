using System.Globalization;
using System.Text;
using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;

namespace Rinsewright.App.Tests.Ingest;

/// <summary>What a device says of the time, at the edges of what is believed.</summary>
public sealed class DeviceClockTests
{
    private static readonly Rig Rig = new()
    {
        Id = default,
        Name = "Van 1",
        TimeZone = "Europe/Vienna",
    };

    [Theory]
    [InlineData(5, 0)]
    [InlineData(-5, 0)]
    [InlineData(5.001, 5.001)]
    [InlineData(-5.001, -5.001)]
    [InlineData(7 * 86_400, 7 * 86_400)]
    [InlineData(-7 * 86_400, -7 * 86_400)]
    public void A_difference_is_corrected_beyond_the_time_of_the_way_and_within_a_week(
        double behind_s,
        double correction_s
    )
    {
        var clock = DeviceClock.Of(
            Text(TestRecord.Start.AddSeconds(-behind_s)),
            DeliveryWay.Http,
            TestRecord.Start
        );
        Assert.Equal(TimeSpan.FromSeconds(correction_s), clock.Correction);
        (DateTimeOffset stated, DateTimeOffset at) = Placed(clock, """{"at": "2026-03-01T07:00Z"}""");
        Assert.Equal(new DateTimeOffset(2026, 3, 1, 7, 0, 0, TimeSpan.Zero), stated);
        DateTimeOffset corrected = stated.AddSeconds(correction_s);
        DateTimeOffset latest = TestRecord.Start + DeviceClock.Ahead;
        if (corrected <= latest)
        {
            Assert.Equal(corrected, at);
        }
    }

    [Theory]
    [InlineData((7 * 86_400) + 1)]
    [InlineData((-7 * 86_400) - 1)]
    public void A_clock_more_than_a_week_off_was_never_set(double behind_s)
    {
        string shown = Text(TestRecord.Start.AddSeconds(-behind_s));
        var clock = DeviceClock.Of(shown, DeliveryWay.Http, TestRecord.Start);
        Assert.Equal(TimeSpan.Zero, clock.Correction);
        Assert.Equal(
            $"clock: {shown}: a clock within 7 days of this program's; more is a clock that was never set",
            Refused(clock, """{"at": "2026-03-01T07:00Z"}""")
        );
    }

    [Fact]
    public void A_clock_that_is_no_instant_or_came_by_a_broker_refuses_the_rows_and_says_why()
    {
        Assert.Equal(
            "clock: noon: a date and time such as 2027-03-31T14:05:00Z",
            Refused(
                DeviceClock.Of("noon", DeliveryWay.Http, TestRecord.Start),
                """{"at": "2026-03-01T07:00Z"}"""
            )
        );
        Assert.Equal(
            "clock: 2026-03-01T08:00Z: no clock: a broker may have held the message, so that it does not tell how the device's clock stands",
            Refused(
                DeviceClock.Of("2026-03-01T08:00Z", DeliveryWay.Mqtt, TestRecord.Start),
                """{"at": "2026-03-01T07:00Z"}"""
            )
        );
    }

    [Theory]
    [InlineData(
        """{"at": "soon"}""",
        DeliveryWay.Http,
        "at: soon: a date and time such as 2027-03-31T14:05:00Z"
    )]
    [InlineData(
        """{"age_s": 3}""",
        DeliveryWay.Mqtt,
        "at: : a date and time: a broker may have held the message"
    )]
    [InlineData(
        """{"at": "1999-12-31T23:59:59Z"}""",
        DeliveryWay.Http,
        "at: 1999-12-31T23:59:59Z: an instant after 2000; the device's clock is not set: send its clock along, or age_s instead"
    )]
    [InlineData(
        """{"at": "2026-03-01T08:02:01Z"}""",
        DeliveryWay.Http,
        "at: 2026-03-01T08:02:01Z: an instant that has come: the device's clock is ahead, send its clock along"
    )]
    [InlineData("""{"age_s": -1}""", DeliveryWay.Http, "age_s: -1: seconds since it was measured")]
    [InlineData(
        """{"age_s": 100000001}""",
        DeliveryWay.Http,
        "age_s: 100000001: seconds since it was measured"
    )]
    [InlineData("""{"age_s": "old"}""", DeliveryWay.Http, "age_s: old: seconds since it was measured")]
    public void An_instant_that_cannot_be_is_refused_with_what_would_be_right(
        string row,
        DeliveryWay way,
        string problem
    ) => Assert.Equal(problem, Refused(DeviceClock.Of(null, way, TestRecord.Start), row));

    [Theory]
    [InlineData("""{"at": "2000-01-01T00:00:00Z"}""", "2000-01-01T00:00:00Z")]
    [InlineData("""{"at": "2026-03-01T08:02:00Z"}""", "2026-03-01T08:02:00Z")]
    [InlineData("""{"at": "2026-03-01 08:30"}""", "2026-03-01T07:30:00Z")]
    [InlineData("""{"age_s": 0}""", "2026-03-01T08:00:00Z")]
    [InlineData("""{"age_s": 1.5}""", "2026-03-01T07:59:58.5Z")]
    [InlineData("""{"age_s": 1e8}""", "2022-12-29T22:13:20Z")]
    [InlineData("""{"kind": "sample"}""", "2026-03-01T08:00:00Z")]
    public void The_first_and_the_last_that_can_be_are_taken(string row, string at) =>
        Assert.Equal(
            DateTimeOffset.Parse(at, CultureInfo.InvariantCulture),
            Placed(DeviceClock.Of(null, DeliveryWay.Http, TestRecord.Start), row).At
        );

    private static (DateTimeOffset Stated, DateTimeOffset At) Placed(DeviceClock clock, string row) =>
        clock.Place(RowOf(row), Rig, new ProblemList())!.Value;

    private static string Refused(DeviceClock clock, string row)
    {
        var problems = new ProblemList();
        clock.Place(RowOf(row), Rig, problems);
        return Assert.Single(problems.Problems).ToString();
    }

    private static RowText RowOf(string json) =>
        DeliveryText.OfRow(Encoding.UTF8.GetBytes(json), DeliveryWay.Http, out _)!.Rows[0];

    private static string Text(DateTimeOffset at) =>
        at.UtcDateTime.ToString("yyyy-MM-dd'T'HH:mm:ss.fff'Z'", CultureInfo.InvariantCulture);
}
