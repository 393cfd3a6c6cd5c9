using Rinsewright.Forecasting;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Records;

/// <summary>How fast water was drawn, by what was logged and by what a meter counted.</summary>
public sealed class PastUseTests
{
    [Fact]
    public async Task What_a_meter_counted_is_spread_over_the_time_between_its_readings()
    {
        Usage use = await UseAsync(e => [e.Total(-28, 1), e.Total(0, 1.4)]);
        Assert.Equal(100, use.LitersPerWeek, 1e-9);
        // Every week had as much.
        Assert.Equal(0, use.WeeklySd, 1e-9);
    }

    [Fact]
    public async Task Of_a_long_time_the_last_twelve_weeks_count()
    {
        Usage use = await UseAsync(e => [e.Total(-40 * 7, 0), e.Total(-20 * 7, 1), e.Total(0, 3)]);
        Assert.Equal(100, use.LitersPerWeek, 1e-9);
    }

    [Fact]
    public async Task A_draw_that_was_logged_is_not_counted_again_by_the_meter()
    {
        Usage use = await UseAsync(e =>
            [e.Total(-28, 1), e.Total(0, 1.4), e.Drawn(-3, 0.2), e.Drawn(-10, 0.2)]
        );
        Assert.Equal(0.4 * 1000 / (10 / 7.0), use.LitersPerWeek, 1e-9);
    }

    [Fact]
    public async Task One_draw_alone_says_nothing_of_a_week()
    {
        Usage use = await UseAsync(e => [e.Drawn(-3, 0.2)]);
        Assert.Equal(1, use.LitersPerWeek);
    }

    private static async Task<Usage> UseAsync(Func<Written, Entry[]> more)
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        var entries = new Entries(record.Store.Ids);
        var fill = new Fill
        {
            Id = record.Store.Ids.Next<Fill>(),
            StageId = entries.Bed.Id,
            Medium = "mixed-bed resin",
            PutInAt = TestRecord.Start.AddDays(-400),
        };
        await record.WriteAsync([.. entries.Basis, fill, .. more(new Written(entries, record.Store.Ids))]);
        await using LogbookContext context = record.Store.Read();
        RigHistory history = (await RigHistory.LoadAsync(context, entries.Rig.Id))!;
        return PastUse.Of(history, history.Stages[0], TestRecord.Start);
    }

    private sealed record Written(Entries Entries, IdSource Ids)
    {
        public Reading Total(double day, double volume_m3) =>
            Entries.Reading(TestRecord.Start.AddDays(day)) with
            {
                Measurand = Measurand.MeterTotal,
                MeterId = null,
                Value_SI = volume_m3,
                Unit = "m3",
            };

        public Draw Drawn(double day, double volume_m3) =>
            new()
            {
                Id = Ids.Next<Draw>(),
                RigId = Entries.Rig.Id,
                At = TestRecord.Start.AddDays(day),
                Volume_m3 = volume_m3,
                VolumeWritten = "",
                Basis = VolumeBasis.Measured,
            };
    }
}
