using Microsoft.EntityFrameworkCore;
using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Ingest;

public sealed class ReductionTests
{
    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Samples_become_one_clean_reading_an_interval_of_the_water_that_ran(
        DatabaseKind database
    )
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        // Two intervals of ten minutes, 08:00 and 08:10; bubbles at minutes 3 and 14; water stands at minute 7.
        await SendMinutesAsync(
            reporting,
            20,
            m =>
                m == 3 ? Reporting.Sample(m, 90)
                : m == 14 ? Reporting.Sample(m, 0)
                : m == 7 ? Reporting.Sample(m, 60, more: ", \"flow\": \"0 L/min\"")
                : Reporting.Sample(
                    m,
                    m < 10 ? 5 : 7,
                    more: ", \"temperature\": \"12 °C\", \"flow\": \"8 L/min\""
                )
        );
        Assert.Equal(1, await reporting.ReduceAtAsync(20.5));
        Assert.Equal(1, await reporting.ReduceAtAsync(30));
        Assert.Equal(0, await reporting.ReduceAtAsync(60));
        List<Reading> readings = [.. (await reporting.LiveAsync<Reading>()).OrderBy(r => r.At)];
        Assert.Equal(["5", "7"], readings.Select(r => r.Written));
        Assert.All(
            readings,
            r =>
            {
                Assert.Equal(("µS/cm", Measurand.Conductivity, Place.Outlet), (r.Unit, r.Measurand, r.Place));
                Assert.Equal(285.15, r.Temperature_K!.Value, 1e-9);
                Assert.Equal(8.0 / 60000, r.Flow_m3_s!.Value, 1e-12);
            }
        );
        Assert.InRange(readings[0].At, Reporting.AtMinute(4), Reporting.AtMinute(6));
        Assert.Equal(20, await reporting.RowsAsync());
    }

    [Theory]
    [InlineData(21)]
    [InlineData(25)]
    [InlineData(34)]
    [InlineData(59)]
    public async Task Many_rows_are_condensed_piece_by_piece_to_the_same_readings(int atOnce)
    {
        await using Reporting whole = await Reporting.StartAsync(DatabaseKind.Sqlite);
        await using Reporting pieces = await Reporting.StartAsync(DatabaseKind.Sqlite);
        // Two a minute for an hour; in the second interval bubbles alone.
        string[] rows =
        [
            .. Enumerable
                .Range(0, 120)
                .Select(i =>
                    Reporting.Sample(
                        (0.5 * i) - 120,
                        i / 20 == 1 ? 0 : 4 + (i / 20),
                        more: i / 20 == 1 ? ", \"flow\": \"0 L/min\"" : ""
                    )
                ),
        ];
        await whole.SendAsync(rows);
        await pieces.SendAsync(rows);
        Assert.Equal(5, await whole.ReduceAtAsync(1));
        Assert.Equal(5, await ReduceAsync());
        await SameAsync(5);

        // One is deleted by a person; a late row makes the first interval due, with all that is behind it.
        foreach (Reporting reporting in (Reporting[])[whole, pieces])
        {
            await reporting.Record.Store.DeleteAsync(
                TestRecord.Draft,
                (await reporting.LiveAsync<Reading>()).OrderBy(r => r.At).ElementAt(2)
            );
            await reporting.SendAsync(Reporting.Sample(-119.9, 40), Reporting.Sample(-119.8, 4));
        }

        await whole.ReduceAtAsync(2);
        await ReduceAsync();
        await SameAsync(4);

        Task<int> ReduceAsync() => new ChannelReduction(pieces.Record.Store, atOnce).RunAsync(default);

        async Task SameAsync(int count)
        {
            List<Reading> expected = [.. (await whole.LiveAsync<Reading>()).OrderBy(r => r.At)];
            List<Reading> made = [.. (await pieces.LiveAsync<Reading>()).OrderBy(r => r.At)];
            Assert.Equal(count, made.Count);
            Assert.Equal(
                expected.Select(r => (r.At, r.Written, r.Version)),
                made.Select(r => (r.At, r.Written, r.Version))
            );
        }
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_channel_of_which_nothing_can_be_made_does_not_hold_back_the_others(
        DatabaseKind database
    )
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        await reporting.SendAsync(
            """{"kind": "sample", "at": "2026-03-01T07:00Z", "place": "source", "what": "hardness", "value": "0.005 eq/L"}""",
            """{"kind": "sample", "at": "2026-03-01T07:00Z", "place": "source", "what": "pressure", "value": "3 bar"}""",
            Reporting.Sample(-20, 5)
        );
        await using (LogbookContext context = reporting.Record.Store.Read())
        {
            await context
                .Set<DeviceChannel>()
                .Where(c => c.Measurand == Measurand.Pressure)
                .ExecuteUpdateAsync(c => c.SetProperty(x => x.Unit, "quarts"));
        }

        AggregateException problem = await Assert.ThrowsAsync<AggregateException>(() =>
            reporting.ReduceAtAsync(20)
        );
        Assert.Contains("quarts", Assert.Single(problem.InnerExceptions).Message, StringComparison.Ordinal);
        Assert.Equal(
            [("0.005", "eq/L"), ("5", "µS/cm")],
            (await reporting.LiveAsync<Reading>()).OrderBy(r => r.At).Select(r => (r.Written, r.Unit))
        );
    }

    [Fact]
    public async Task What_is_written_of_a_reading_is_its_value_with_no_exponent()
    {
        await using Reporting reporting = await Reporting.StartAsync(DatabaseKind.Sqlite);
        await reporting.SendAsync(
            """{"kind": "sample", "at": "2026-03-01T07:00Z", "place": "source", "what": "meter total", "value": "123456.7 L"}""",
            """{"kind": "sample", "at": "2026-03-01T07:01Z", "place": "source", "what": "conductivity", "value": "0.0000123456 S/m"}""",
            """{"kind": "sample", "at": "2026-03-01T07:02Z", "place": "source", "what": "temperature", "value": "53.614 °F"}"""
        );
        await reporting.ReduceAtAsync(20);
        List<Reading> readings = [.. (await reporting.LiveAsync<Reading>()).OrderBy(r => r.At)];
        Assert.Equal(["123456.7", "0.00001235", "53.61"], readings.Select(r => r.Written));
        Assert.Equal(123.4567, readings[0].Value_SI, 1e-12);
        Assert.Equal(1.235e-5, readings[1].Value_SI, 1e-18);
        Assert.Equal(((53.61 - 32) / 1.8) + 273.15, readings[2].Value_SI, 1e-9);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_late_sample_changes_the_reading_as_a_new_version_and_a_persons_change_stays(
        DatabaseKind database
    )
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        await SendMinutesAsync(reporting, 3, m => Reporting.Sample(m, 5 + m));
        await reporting.ReduceAtAsync(20);
        Reading first = Assert.Single(await reporting.LiveAsync<Reading>());
        Assert.Equal("6", first.Written);
        // Rows that come late: the median moves.
        await SendMinutesAsync(reporting, 2, m => Reporting.Sample(5 + m, 7));
        await reporting.ReduceAtAsync(21);
        Reading later = Assert.Single(await reporting.LiveAsync<Reading>());
        Assert.Equal((first.Id, 2, "7"), (later.Id, later.Version, later.Written));
        await reporting.Record.WriteAsync(later with { Written = "6.5", Value_SI = 6.5e-4 });
        await reporting.SendAsync(Reporting.Sample(8, 20));
        Assert.Equal(0, await reporting.ReduceAtAsync(23));
        Assert.Equal("6.5", Assert.Single(await reporting.LiveAsync<Reading>()).Written);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Pulses_become_draws_that_a_pause_parts(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(
            database,
            d => d with { PulsesPerLiter = 10 }
        );
        // 8 L a minute from minute 2 to 5; a minute's rest; one more minute; then from minute 20 another.
        long[] counts = [100, 100, 180, 260, 340, 340, 420, 420, 420, 420, 420, 420];
        await SendMinutesAsync(reporting, counts.Length, m => Reporting.Count(m, counts[m]));
        Assert.Equal(1, await reporting.ReduceAtAsync(17));
        await SendAtAsync(reporting, 21, Reporting.Count(20, 420), Reporting.Count(21, 445));
        await reporting.ReduceAtAsync(22);
        Assert.Single(await reporting.LiveAsync<Draw>());
        await reporting.ReduceAtAsync(40);
        List<Draw> draws = [.. (await reporting.LiveAsync<Draw>()).OrderBy(d => d.At)];
        Assert.Equal(["32 L", "2.5 L"], draws.Select(d => d.VolumeWritten));
        Assert.Equal([Reporting.AtMinute(1), Reporting.AtMinute(20)], draws.Select(d => d.At));
        Assert.Equal(VolumeBasis.Measured, draws[0].Basis);
        Assert.Equal(0.032 / 300, draws[0].Flow_m3_s!.Value, 1e-9);
        Assert.Equal(0, await reporting.ReduceAtAsync(60));
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_late_count_parts_or_joins_draws_and_no_water_is_counted_twice(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(
            database,
            d => d with { PulsesPerLiter = 10 }
        );
        await SendAtAsync(
            reporting,
            10,
            Reporting.Count(0, 0),
            Reporting.Count(1, 80),
            Reporting.Count(9, 160),
            Reporting.Count(10, 240)
        );
        await reporting.ReduceAtAsync(30);
        Assert.Equal([8, 16], await LitersAsync(reporting));
        await SendAtAsync(
            reporting,
            30,
            Reporting.Count(3, 100),
            Reporting.Count(5, 120),
            Reporting.Count(7, 140)
        );
        await reporting.ReduceAtAsync(40);
        Assert.Equal([24], await LitersAsync(reporting));
    }

    private static async Task<IEnumerable<double>> LitersAsync(Reporting reporting) =>
        (await reporting.LiveAsync<Draw>()).OrderBy(d => d.At).Select(d => Math.Round(1000 * d.Volume_m3, 9));

    private static Task SendMinutesAsync(Reporting reporting, int count, Func<int, string> row) =>
        SendAtAsync(reporting, count, [.. Enumerable.Range(0, count).Select(row)]);

    private static async Task SendAtAsync(Reporting reporting, double minute, params string[] rows)
    {
        if (Reporting.AtMinute(minute) > reporting.Record.Clock.GetUtcNow())
        {
            reporting.Record.Clock.SetUtcNow(Reporting.AtMinute(minute));
        }

        DeliveryAnswer answer = await reporting.SendAsync(rows);
        Assert.All(answer.Rows, r => Assert.Equal(RowStatus.Kept, r.Status));
    }
}
