using Microsoft.EntityFrameworkCore;
using Rinsewright.App.Tests.CommandLine;
using Rinsewright.App.Tests.Records;
using Rinsewright.Cli;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Ingest;

/// <summary>Old raw samples go; readings, counts and what people wrote stay.</summary>
public sealed class ThinningTests
{
    private const int Day_min = 24 * 60;

    [Theory]
    [ClassData(typeof(EveryDatabase))]
    public async Task Old_samples_go_and_the_readings_made_of_them_stay(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(
            database,
            d => d with { PulsesPerLiter = 10, Interval = TimeSpan.FromMinutes(10) }
        );
        await reporting.SendAsync([
            .. Enumerable.Range(0, 40).Select(m => Reporting.Sample(m - 60, 3 + (m % 3), sequence: m)),
            .. Enumerable.Range(40, 10).Select(m => Reporting.Count(m - 60, 8 * m, sequence: m)),
        ]);
        await reporting.ReduceAtAsync(30);
        List<Reading> readings = await reporting.LiveAsync<Reading>();
        List<Draw> draws = await reporting.LiveAsync<Draw>();
        Assert.Equal((4, 1), (readings.Count, draws.Count));
        var thinning = new Thinning(reporting.Record.Store);

        // A day later nothing is old enough.
        reporting.Record.Clock.SetUtcNow(Reporting.AtMinute(Day_min));
        Assert.Empty(await thinning.RunAsync(30, isTrial: false, default));
        reporting.Record.Clock.SetUtcNow(Reporting.AtMinute(31 * Day_min));
        ThinnedRows counted = Assert.Single(await thinning.RunAsync(30, isTrial: true, default));
        Assert.Equal((40, 50), (counted.Rows, await reporting.RowsAsync()));
        Assert.Equal(40, Assert.Single(await thinning.RunAsync(30, isTrial: false, default)).Rows);
        Assert.Equal(10, await reporting.RowsAsync());
        Assert.Equal(readings, await reporting.LiveAsync<Reading>());
        Assert.Empty(await thinning.RunAsync(30, isTrial: false, default));

        // A row of that time that comes late makes a reading of its own and touches none; what follows is taken as ever.
        await reporting.SendAsync(Reporting.Sample(-55.5, 9, sequence: 100));
        await reporting.SendAsync(Reporting.Sample((31 * Day_min) - 5, 4, sequence: 101));
        await reporting.ReduceAtAsync((31 * Day_min) + 30);
        Assert.Equal(readings, (await reporting.LiveAsync<Reading>()).Take(4));
        Assert.Equal(6, (await reporting.LiveAsync<Reading>()).Count);
        Assert.Equal(draws, await reporting.LiveAsync<Draw>());
    }

    [Fact]
    public async Task Samples_of_which_no_reading_was_made_yet_stay()
    {
        await using Reporting reporting = await Reporting.StartAsync(DatabaseKind.Sqlite);
        await reporting.SendAsync(Reporting.Sample(-60, 3), Reporting.Sample(-59, 3));
        reporting.Record.Clock.SetUtcNow(Reporting.AtMinute(40 * Day_min));
        Assert.Empty(await new Thinning(reporting.Record.Store).RunAsync(30, isTrial: false, default));
        Assert.Equal(2, await reporting.RowsAsync());
    }

    [Fact]
    public async Task What_was_thinned_out_is_not_told_as_missing()
    {
        await using Reporting reporting = await Reporting.StartAsync(
            DatabaseKind.Sqlite,
            d => d with { PulsesPerLiter = 10 }
        );
        await reporting.SendAsync(
            Reporting.Count(-60, 0, sequence: 1),
            Reporting.Sample(-59, 3, sequence: 2),
            Reporting.Sample(-58, 3, sequence: 3),
            Reporting.Count(-57, 0, sequence: 4)
        );
        await reporting.ReduceAtAsync(60 * 24);
        reporting.Record.Clock.SetUtcNow(Reporting.AtMinute(40 * Day_min));
        await reporting.SendAsync(
            Reporting.Sample((40 * Day_min) - 9, 3, sequence: 5),
            Reporting.Sample((40 * Day_min) - 5, 3, sequence: 8)
        );
        await new Thinning(reporting.Record.Store).RunAsync(30, isTrial: false, default);
        Assert.Equal(
            [new MissingRows(0, 6, 7)],
            await new DeviceListing(reporting.Record.Store).MissingAsync(reporting.Device, default)
        );
    }

    [Theory]
    [ClassData(typeof(EveryDatabase))]
    public async Task Of_each_channel_goes_what_is_old_and_all_else_stays(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        (Device other, _) = await reporting.AddAsync(
            new DeviceDraft("Other", reporting.Entries.Rig.Id, null) { Interval = TimeSpan.FromMinutes(10) }
        );
        int young = 31 * Day_min;
        await reporting.SendAsync(
            Reporting.Sample(-60, 3),
            Reporting.Sample(-10, 3),
            Reporting.Sample(-0.5, 3),
            Reporting.Sample(0, 3)
        );
        await reporting.Inbox.TakeAsync(
            other,
            Reporting.DeliveryOf(null, Reporting.Sample(-30, 3), Reporting.Sample(-29, 3)),
            default
        );
        reporting.Record.Clock.SetUtcNow(Reporting.AtMinute(young));
        await reporting.SendAsync(Reporting.Sample(young - 60, 3));
        await reporting.Inbox.TakeAsync(
            other,
            Reporting.DeliveryOf(null, Reporting.Sample(young - 30, 3)),
            default
        );
        await reporting.ReduceAtAsync(young + 30);
        List<Reading> readings = await reporting.LiveAsync<Reading>();
        List<DerivedEntry> derived = await DerivedAsync(reporting);
        Assert.Equal((6, 6), (readings.Count, derived.Count));

        // To the minute so old that the first row that stays begins an interval.
        reporting.Record.Clock.SetUtcNow(Reporting.AtMinute(35 * Day_min));
        var thinning = new Thinning(reporting.Record.Store);
        await Assert.ThrowsAsync<ArgumentOutOfRangeException>(() =>
            thinning.RunAsync(29, isTrial: true, default)
        );
        Assert.Equal([3, 2], (await thinning.RunAsync(35, isTrial: true, default)).Select(t => t.Rows));
        Assert.Equal(derived, await DerivedAsync(reporting));
        IReadOnlyList<ThinnedRows> thinned = await thinning.RunAsync(35, isTrial: false, default);
        Assert.Equal(
            [(reporting.Device.Id, Reporting.AtMinute(0), 3), (other.Id, Reporting.AtMinute(0), 2)],
            thinned.Select(t => (t.Channel.DeviceId, t.Before, t.Rows))
        );
        Assert.Equal(3, await reporting.RowsAsync());
        Assert.Equal(derived.Where(d => d.StartsAt >= Reporting.AtMinute(0)), await DerivedAsync(reporting));
        Assert.Equal(readings, await reporting.LiveAsync<Reading>());
    }

    private static async Task<List<DerivedEntry>> DerivedAsync(Reporting reporting)
    {
        await using LogbookContext context = reporting.Record.Store.Read();
        return await context
            .Set<DerivedEntry>()
            .AsNoTracking()
            .OrderBy(d => d.ChannelId)
            .ThenBy(d => d.StartsAt)
            .ToListAsync();
    }

    [Fact]
    public async Task Only_a_reading_that_the_device_made_before_its_first_sample_tells_of_thinning()
    {
        await using Reporting reporting = await Reporting.StartAsync(DatabaseKind.Sqlite);
        Entries entries = reporting.Entries;
        (Device other, _) = await reporting.AddAsync(new DeviceDraft("Other", entries.Rig.Id, null));
        await reporting.SendAsync(
            Reporting.Sample(-9, 5),
            Reporting.Reading(-30, 3),
            """{"kind": "sample", "at": "2026-03-01T07:56Z", "place": "source", "what": "temperature", "value": "12 °C"}"""
        );
        await reporting.Inbox.TakeAsync(other, Reporting.DeliveryOf(null, Reporting.Sample(-1, 5)), default);
        var elsewhere = new Rig { Id = reporting.Record.Store.Ids.Next<Rig>(), Name = "Van 2" };
        var last = new Stage
        {
            Id = reporting.Record.Store.Ids.Next<Stage>(),
            RigId = entries.Rig.Id,
            Name = "Last",
            Position = 3,
            Kind = StageKind.MixedBed,
        };
        await reporting.Record.WriteAsync(elsewhere, last);
        Reading made = entries.Reading(Reporting.AtMinute(-60)) with
        {
            Measurand = Measurand.Conductivity,
            Value_SI = 5e-4,
            Written = "5",
            Unit = "µS/cm",
            MeterId = null,
        };
        Reading[] others =
        [
            made with
            {
                RigId = elsewhere.Id,
                StageId = null,
                Place = Place.Source,
            },
            made with
            {
                Place = Place.Inlet,
            },
            made with
            {
                StageId = last.Id,
            },
            made with
            {
                MeterId = entries.Pocket.Id,
                Measurand = Measurand.DissolvedSolids,
            },
            made with
            {
                Measurand = Measurand.SpecificConductance,
            },
            made with
            {
                At = Reporting.AtMinute(-9),
            },
        ];
        foreach (Reading another in others)
        {
            await WriteAsync("Probe", another);
        }

        await WriteAsync("Ana", made with { At = Reporting.AtMinute(-61) });
        Assert.Equal(DateTimeOffset.MinValue, await UntilAsync(reporting.Device));
        await WriteAsync("Probe", made);
        Assert.Equal(Reporting.AtMinute(-9), await UntilAsync(reporting.Device));
        Assert.Equal(DateTimeOffset.MinValue, await UntilAsync(other));

        async Task WriteAsync(string author, Reading reading)
        {
            Reading own = reading with { Id = reporting.Record.Store.Ids.Next<Reading>() };
            Assert.Empty(
                (await reporting.Record.Store.WriteAsync(new EditDraft(author, ""), [own])).Problems
            );
        }

        async Task<DateTimeOffset> UntilAsync(Device device)
        {
            await using LogbookContext context = reporting.Record.Store.Read();
            return await Thinning.ThinnedUntilAsync(context, device, default);
        }
    }

    [Fact]
    public async Task Pulses_that_are_no_water_are_told()
    {
        await using Reporting reporting = await Reporting.StartAsync(
            DatabaseKind.Sqlite,
            d => d with { PulsesPerLiter = 10 }
        );
        await reporting.SendAsync(
            Reporting.Count(-9, 0),
            Reporting.Count(-8, 80),
            Reporting.Count(-7, 900_080),
            Reporting.Count(-6, 900_080)
        );
        Assert.Equal(
            [new DroppedPulses(Reporting.AtMinute(-8), Reporting.AtMinute(-7), 900_000)],
            await new DeviceListing(reporting.Record.Store).DroppedAsync(
                reporting.Device,
                Reporting.AtMinute(-60),
                default
            )
        );
    }

    [Fact]
    public async Task Young_samples_are_never_thinned_out()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun run = await home.RunAsync("device", "thin", "--older-than-days", "29");
        Assert.Equal((ExitCode.BadInput, "--older-than-days: 29: 30 or more\n"), (run.ExitCode, run.Error));
    }
}
