using CsCheck;
using Rinsewright.Records.Alarms;

namespace Rinsewright.App.Tests.Alarms;

public sealed class QuietHoursTests
{
    private static readonly TimeZoneInfo Vienna = TimeZoneInfo.FindSystemTimeZoneById("Europe/Vienna");

    [Theory]
    [InlineData("22:00", "06:30", "2026-06-10T19:59:00Z", "2026-06-10T19:59:00Z")] // 21:59 in Vienna
    [InlineData("22:00", "06:30", "2026-06-10T20:00:00Z", "2026-06-11T04:30:00Z")]
    [InlineData("22:00", "06:30", "2026-06-11T04:29:00Z", "2026-06-11T04:30:00Z")]
    [InlineData("22:00", "06:30", "2026-06-11T04:30:00Z", "2026-06-11T04:30:00Z")]
    [InlineData("12:00", "13:00", "2026-06-11T10:15:00Z", "2026-06-11T11:00:00Z")]
    [InlineData("12:00", "13:00", "2026-06-11T11:00:00Z", "2026-06-11T11:00:00Z")]
    // The night of 28 to 29 March 2026 is an hour short: at 02:00 it is 03:00.
    [InlineData("22:00", "06:30", "2026-03-28T21:30:00Z", "2026-03-29T04:30:00Z")]
    [InlineData("22:00", "02:30", "2026-03-28T23:00:00Z", "2026-03-29T01:00:00Z")] // 02:30 does not come: 03:00
    [InlineData("02:15", "02:45", "2026-03-29T00:59:00Z", "2026-03-29T00:59:00Z")] // nor does any of it
    // The night of 24 to 25 October 2026 has 02:00 to 03:00 twice.
    [InlineData("22:00", "06:30", "2026-10-24T20:30:00Z", "2026-10-25T05:30:00Z")]
    [InlineData("22:00", "02:30", "2026-10-24T22:00:00Z", "2026-10-25T00:30:00Z")] // the first 02:30
    public void They_end_by_the_clocks_of_the_place(string from, string until, string at, string end)
    {
        var quiet = new QuietHours(Time(from), Time(until), Vienna);
        Assert.Equal(At(end), quiet.EndAfter(At(at)));
    }

    [Fact]
    public void Their_end_is_never_before_the_asking_nor_a_day_and_an_hour_after_it()
    {
        TimeZoneInfo[] zones =
        [
            Vienna,
            TimeZoneInfo.Utc,
            TimeZoneInfo.FindSystemTimeZoneById("America/New_York"),
            TimeZoneInfo.FindSystemTimeZoneById("Australia/Lord_Howe"), // its clocks change by half an hour
        ];
        Gen.Select(Gen.Int[0, 1439], Gen.Int[0, 1439], Gen.Int[0, 3], Gen.Int[0, 525_599])
            .Where((from, until, _, _) => from != until)
            .Repeat()
            .Sample(
                (from, until, zone, minute) =>
                {
                    var quiet = new QuietHours(
                        TimeOnly.MinValue.AddMinutes(from),
                        TimeOnly.MinValue.AddMinutes(until),
                        zones[zone]
                    );
                    DateTimeOffset at = At("2026-01-01T00:00:00Z").AddMinutes(minute);
                    DateTimeOffset end = quiet.EndAfter(at);
                    return end >= at && end - at <= TimeSpan.FromHours(25);
                }
            );
    }

    private static TimeOnly Time(string text) =>
        TimeOnly.ParseExact(text, "HH:mm", System.Globalization.CultureInfo.InvariantCulture);

    private static DateTimeOffset At(string text) =>
        DateTimeOffset.Parse(text, System.Globalization.CultureInfo.InvariantCulture);
}
