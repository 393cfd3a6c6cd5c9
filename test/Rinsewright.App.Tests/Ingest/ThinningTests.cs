using Microsoft.EntityFrameworkCore;
using Rinsewright.App.Tests.CommandLine;
using Rinsewright.App.Tests.Records;
using Rinsewright.Cli;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;

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
