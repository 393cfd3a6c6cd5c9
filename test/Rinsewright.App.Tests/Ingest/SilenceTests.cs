using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Ingest;

namespace Rinsewright.App.Tests.Ingest;

public sealed class SilenceTests
{
    [Fact]
    public void A_time_without_rows_that_is_much_longer_than_usual_is_a_silence()
    {
        DateTimeOffset[] minutes =
        [
            .. Enumerable
                .Range(0, 60)
                .Where(m => m is < 20 or > 40)
                .Select(m => TestRecord.Start.AddMinutes(m)),
        ];
        Assert.Equal(
            [(TestRecord.Start.AddMinutes(19), TestRecord.Start.AddMinutes(41))],
            DeviceListing.SilencesOf(minutes, TestRecord.Start.AddMinutes(61))
        );
        // It is silent still.
        Assert.Equal(2, DeviceListing.SilencesOf(minutes, TestRecord.Start.AddMinutes(80)).Count());
        DateTimeOffset[] hours = [.. Enumerable.Range(0, 9).Select(h => TestRecord.Start.AddHours(h))];
        Assert.Empty(DeviceListing.SilencesOf(hours, TestRecord.Start.AddHours(12)));
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task The_silences_of_a_device_are_listed(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        await reporting.SendAsync([
            .. Enumerable.Range(0, 60).Where(m => m is < 20 or > 40).Select(m => Reporting.Sample(m - 60, 5)),
        ]);
        SilentTime silence = Assert.Single(
            await new DeviceListing(reporting.Record.Store).SilencesAsync(
                reporting.Device,
                Reporting.AtMinute(-300),
                default
            )
        );
        Assert.Equal((Reporting.AtMinute(-41), Reporting.AtMinute(-19)), (silence.From, silence.To));
    }

    [Fact]
    public async Task A_device_that_fell_silent_before_the_time_that_is_asked_for_is_silent_in_all_of_it()
    {
        await using Reporting reporting = await Reporting.StartAsync(DatabaseKind.Sqlite);
        await reporting.SendAsync([.. Enumerable.Range(0, 30).Select(m => Reporting.Sample(m - 900, 5))]);
        SilentTime silence = Assert.Single(
            await new DeviceListing(reporting.Record.Store).SilencesAsync(
                reporting.Device,
                Reporting.AtMinute(-300),
                default
            )
        );
        Assert.Equal((Reporting.AtMinute(-871), TestRecord.Start), (silence.From, silence.To));
    }
}
