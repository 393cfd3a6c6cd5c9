using System.Text;
using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Ingest;

public sealed class InboxTests
{
    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_reading_that_is_answered_as_kept_is_in_the_record_by_its_own_instant(
        DatabaseKind database
    )
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        DeliveryAnswer answer = await reporting.SendAsync(
            Reporting.Reading(-30, 4),
            Reporting.Reading(-600, 2)
        );
        Assert.Equal([RowStatus.Kept, RowStatus.Kept], answer.Rows.Select(r => r.Status));
        await reporting.Record.ReopenAsync();
        List<Reading> readings = await reporting.LiveAsync<Reading>();
        Assert.Equal([Reporting.AtMinute(-30), Reporting.AtMinute(-600)], readings.Select(r => r.At));
        Reading first = readings[0];
        Assert.Equal(
            (0.004, "4", "ppm", Measurand.DissolvedSolids, Place.Outlet),
            (first.Value_SI, first.Written, first.Unit, first.Measurand, first.Place)
        );
        Assert.Equal(
            (reporting.Entries.Bed.Id, reporting.Entries.Pocket.Id),
            (first.StageId!.Value, first.MeterId!.Value)
        );
        (Entry _, Edit edit) = Assert.Single(
            await reporting.Record.Store.HistoryAsync(EntryKind.Of(first), first.Key)
        );
        Assert.Equal("Probe", edit.Author);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task What_is_sent_again_is_kept_once(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        string[] rows =
        [
            Reporting.Reading(-5, 3),
            Reporting.Reading(-4, 3, sequence: 7),
            Reporting.Sample(-3, 5.5),
            Reporting.Sample(-2, 5.5, sequence: 8),
        ];
        DeliveryAnswer first = await reporting.SendAsync(rows);
        Assert.All(first.Rows, r => Assert.Equal(RowStatus.Kept, r.Status));
        // The device's clock is corrected meanwhile: the same rows now seem to have been at other instants.
        reporting.Record.Clock.Advance(TimeSpan.FromMinutes(3));
        DeliveryAnswer again = await reporting.SendAsync(TestRecord.Start, rows);
        Assert.Equal(TimeSpan.FromMinutes(3), again.Correction);
        Assert.All(again.Rows, r => Assert.Equal(RowStatus.AlreadyThere, r.Status));
        Assert.Equal(4, await reporting.RowsAsync());
        Assert.Equal(2, (await reporting.LiveAsync<Reading>()).Count);
        // Twice within one delivery, and after the program was started anew.
        await reporting.Record.ReopenAsync();
        await using var inbox = new Inbox(reporting.Record.Store);
        DeliveryAnswer twice = await inbox.TakeAsync(
            reporting.Device,
            Reporting.DeliveryOf(
                null,
                Reporting.Sample(-1, 5, 9),
                Reporting.Sample(-1, 5, 9),
                rows[1],
                rows[2]
            ),
            default
        );
        Assert.Equal(
            [RowStatus.Kept, RowStatus.AlreadyThere, RowStatus.AlreadyThere, RowStatus.AlreadyThere],
            twice.Rows.Select(r => r.Status)
        );
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_reading_that_a_person_wrote_or_deleted_is_not_written_again(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        Reading byHand = reporting.Entries.Reading(Reporting.AtMinute(-9), ppm: 3);
        Reading deleted = reporting.Entries.Reading(Reporting.AtMinute(-8), ppm: 3);
        await reporting.Record.WriteAsync(byHand, deleted);
        await reporting.Record.Store.DeleteAsync(
            TestRecord.Draft,
            await reporting.Record.ReadAsync(deleted.Id)
        );
        DeliveryAnswer answer = await reporting.SendAsync(
            Reporting.Reading(-9, 3),
            Reporting.Reading(-8, 3),
            Reporting.Reading(-9, 30, sequence: 1)
        );
        Assert.Equal(
            [RowStatus.AlreadyThere, RowStatus.AlreadyThere, RowStatus.Refused],
            answer.Rows.Select(r => r.Status)
        );
        Assert.Single(await reporting.LiveAsync<Reading>());
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_stated_clock_is_corrected_within_bounds_and_the_future_is_refused(
        DatabaseKind database
    )
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        // The device's clock is an hour ahead and says so: its rows of now + 59 min were a minute ago.
        DeliveryAnswer ahead = await reporting.SendAsync(
            Reporting.AtMinute(60),
            Reporting.Reading(59, 3),
            Reporting.Reading(63, 3)
        );
        Assert.Equal(TimeSpan.FromHours(-1), ahead.Correction);
        Assert.Equal((RowStatus.Kept, Reporting.AtMinute(-1)), (ahead.Rows[0].Status, ahead.Rows[0].At));
        Assert.Equal(RowStatus.Refused, ahead.Rows[1].Status);
        DeliveryAnswer unstated = await reporting.SendAsync(
            Reporting.Reading(3, 3),
            Reporting.Reading(1, 3),
            """{"kind": "reading", "at": "1970-01-01T00:10Z", "what": "tds", "value": "3 ppm"}"""
        );
        Assert.Equal(
            [RowStatus.Refused, RowStatus.Kept, RowStatus.Refused],
            unstated.Rows.Select(r => r.Status)
        );
        Assert.Contains(
            "clock is ahead",
            unstated.Rows[0].Problems[0].Expected.ToString(),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "not set",
            unstated.Rows[2].Problems[0].Expected.ToString(),
            StringComparison.Ordinal
        );
        DeliveryAnswer wild = await reporting.SendAsync(
            Reporting.AtMinute(-60 * 24 * 8),
            Reporting.Reading(-2, 3)
        );
        Assert.Equal("clock", wild.Rows[0].Problems[0].Place);
        // A difference that the way to here may make is left alone.
        DeliveryAnswer near = await reporting.SendAsync(
            TestRecord.Start.AddSeconds(-4),
            Reporting.Reading(-7, 3)
        );
        Assert.Equal(Reporting.AtMinute(-7), near.Rows[0].At);
    }

    [Fact]
    public async Task A_device_without_a_clock_says_how_old_a_row_is()
    {
        await using Reporting reporting = await Reporting.StartAsync(DatabaseKind.Sqlite);
        string row =
            """{"kind": "reading", "sequence": 1, "age_s": 90, "stage": "Bed", "what": "tds", "value": 3, "unit": "ppm"}""";
        Assert.Equal(Reporting.AtMinute(-1.5), (await reporting.SendAsync(row)).Rows[0].At);
        reporting.Record.Clock.Advance(TimeSpan.FromSeconds(20));
        Assert.Equal(RowStatus.AlreadyThere, (await reporting.SendAsync(row)).Rows[0].Status);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Each_wrong_row_is_refused_with_its_reason_which_is_kept_and_the_others_are_kept(
        DatabaseKind database
    )
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        (string Row, string Place)[] wrong =
        [
            ("""7""", "row"),
            ("""{"kind": "guess", "at": "2026-03-01T07:00Z"}""", "kind"),
            ("""{"kind": "reading", "at": "2026-03-01T07:00Z", "what": "tds", "value": "3"}""", "value"),
            (
                """{"kind": "reading", "at": "2026-03-01T07:00Z", "what": "colour", "value": "3 ppm"}""",
                "what"
            ),
            ("""{"kind": "reading", "at": "soon", "what": "tds", "value": "3 ppm"}""", "at"),
            ("""{"kind": "reading", "what": "tds", "value": "3 ppm"}""", "sequence"),
            (
                """{"kind": "reading", "at": "2026-03-01T07:00Z", "boot": 2, "what": "tds", "value": "3 ppm"}""",
                "boot"
            ),
            (
                """{"kind": "reading", "at": "2026-03-01T07:00Z", "stage": "Boiler", "what": "tds", "value": "3 ppm"}""",
                "stage"
            ),
            (
                """{"kind": "reading", "at": "2026-03-01T07:00Z", "place": "inlet", "what": "tds", "value": "3 ppm"}""",
                "stage"
            ),
            (
                """{"kind": "reading", "at": "2026-03-01T07:00Z", "rig": "Van 9", "what": "tds", "value": "3 ppm"}""",
                "rig"
            ),
            (
                """{"kind": "reading", "at": "2026-03-01T07:00Z", "what": "tds", "value": "3 ppm", "mood": "good"}""",
                "mood"
            ),
            (
                """{"kind": "reading", "at": "2026-03-01T07:00Z", "what": "tds", "value": ["3 ppm"]}""",
                "value"
            ),
            ("""{"kind": "reading", "at": "2026-03-01T07:00Z", "what": "tds", "value": "\ud800"}""", "value"),
            ("""{"kind": "reading", "sequence": -1, "what": "tds", "value": "3 ppm"}""", "sequence"),
            ("""{"kind": "sample", "at": "2026-03-01T07:00Z", "what": "tds", "value": "<3 ppm"}""", "value"),
            ("""{"kind": "count", "at": "2026-03-01T07:00Z", "count": 12}""", "count"),
            (
                """{"kind": "sample", "at": "2026-03-01T07:00Z", "what": "temperature", "value": "-127 °C"}""",
                "reading value"
            ),
        ];
        DeliveryAnswer answer = await reporting.SendAsync([
            Reporting.Reading(-1, 3),
            .. wrong.Select(w => w.Row),
        ]);
        Assert.Equal(RowStatus.Kept, answer.Rows[0].Status);
        Assert.Equal(wrong.Select(w => w.Place), answer.Rows.Skip(1).Select(r => r.Problems[0].Place));
        await reporting.SendAsync(wrong[1].Row);
        var listing = new DeviceListing(reporting.Record.Store);
        var refused = await listing.RefusedAsync("Probe", 100, default);
        Assert.Equal(wrong.Length, refused.Count);
        RefusedRow guess = refused.Single(r => r.Row.Text.Contains("guess", StringComparison.Ordinal)).Row;
        Assert.Equal((2, wrong[1].Row), (guess.Times, guess.Text));
        Assert.Equal("kind: guess: reading, sample or count", guess.Reason);
        Assert.Empty(await listing.RefusedAsync("Somebody else", 100, default));
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Numbers_that_are_left_out_are_told_until_they_come(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        var listing = new DeviceListing(reporting.Record.Store);
        await reporting.SendAsync(Reporting.Sample(-9, 5, 3), Reporting.Sample(-8, 5, 4));
        DeliveryAnswer answer = await reporting.SendAsync(Reporting.Sample(-3, 5, 9));
        Assert.Equal([new MissingRows(0, 5, 8)], answer.Missing);
        Assert.Empty((await reporting.SendAsync(Reporting.Sample(-5, 5, 7))).Missing);
        Assert.Equal(
            [new MissingRows(0, 5, 6), new MissingRows(0, 8, 8)],
            await listing.MissingAsync(reporting.Device, default)
        );
        // A row that was refused has come, and a device that was started again counts anew.
        await reporting.SendAsync(
            """{"kind": "sample", "at": "2026-03-01T07:00Z", "sequence": 8, "what": "tds", "value": "3"}""",
            """{"kind": "sample", "at": "2026-03-01T07:59Z", "boot": 1, "sequence": 40, "what": "tds", "value": "3 ppm"}"""
        );
        await reporting.SendAsync(Reporting.Sample(-7, 5, 5), Reporting.Sample(-6, 5, 6));
        Assert.Empty(await listing.MissingAsync(reporting.Device, default));
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_number_that_is_used_for_another_row_is_refused_rather_than_lost(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        await reporting.SendAsync(Reporting.Sample(-9, 5, 1));
        DeliveryAnswer answer = await reporting.SendAsync(
            Reporting.Sample(-9, 6, 1),
            Reporting.Sample(-8, 5, 1),
            Reporting.Reading(-9, 5, 1)
        );
        Assert.All(
            answer.Rows,
            r => Assert.Equal((RowStatus.Refused, "sequence"), (r.Status, r.Problems[0].Place))
        );
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Many_devices_and_two_programs_at_once_lose_nothing_and_double_nothing(
        DatabaseKind database
    )
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        await using LogbookStore other = await LogbookStore.OpenAsync(
            reporting.Record.Address,
            reporting.Record.Clock
        );
        await using var elsewhere = new Inbox(other);
        List<Device> devices = [];
        for (int i = 0; i < 8; i++)
        {
            devices.Add(
                (
                    await reporting.AddAsync(new DeviceDraft($"Probe {i}", reporting.Entries.Rig.Id, null))
                ).Device
            );
        }

        // Every delivery goes to both programs at once, as a device that gets no answer tries another.
        List<Task<DeliveryAnswer>> sent =
        [
            .. from device in devices
            from step in Enumerable.Range(0, 6)
            let delivery = Reporting.DeliveryOf(
                null,
                Reporting.Sample(-60 + step, 5, (2 * step) + 1),
                Reporting.Sample(-60 + step + 0.5, 5, (2 * step) + 2)
            )
            from inbox in (Inbox[])[reporting.Inbox, elsewhere]
            select inbox.TakeAsync(device, delivery, default),
        ];
        DeliveryAnswer[] answers = await Task.WhenAll(sent);
        Assert.Equal(8 * 12, await reporting.RowsAsync());
        Assert.Equal(8 * 12, answers.Sum(a => a.Count(RowStatus.Kept)));
        Assert.Equal(8 * 12, answers.Sum(a => a.Count(RowStatus.AlreadyThere)));
        foreach (Device device in devices)
        {
            Assert.Empty(await new DeviceListing(other).MissingAsync(device, default));
        }
    }

    [Fact]
    public async Task A_table_is_read_row_by_row()
    {
        await using Reporting reporting = await Reporting.StartAsync(DatabaseKind.Sqlite);
        using var file = new MemoryStream(
            Encoding.UTF8.GetBytes(
                """
                kind,at,stage,what,value,unit,temperature
                reading,2026-03-01T06:00Z,Bed,tds,3,ppm,12 °C
                reading,2026-03-01T06:10Z,Bed,tds,much,ppm,
                reading,2026-03-01T06:20Z,Bed,conductivity,"6.1",µS/cm,

                """
            )
        );
        Delivery delivery = DeliveryText.OfCsv(file, null, out var problems)!;
        Assert.Empty(problems);
        DeliveryAnswer answer = await reporting.Inbox.TakeAsync(reporting.Device, delivery, default);
        Assert.Equal([RowStatus.Kept, RowStatus.Refused, RowStatus.Kept], answer.Rows.Select(r => r.Status));
        Assert.Equal(285.15, (await reporting.LiveAsync<Reading>())[0].Temperature_K!.Value, 1e-9);
    }

    [Fact]
    public void A_key_that_stands_in_a_message_is_not_part_of_its_row()
    {
        RowText row = DeliveryText
            .OfRow(
                Encoding.UTF8.GetBytes("""{"key": "rw.a.secret", "kind": "sample", "clock": "x"}"""),
                DeliveryWay.Mqtt,
                out _
            )!
            .Rows[0];
        Assert.Equal("""{"kind":"sample"}""", row.Raw);
        Assert.Empty(row.Problems);
    }
}
