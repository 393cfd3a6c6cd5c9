using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Records;

public sealed class HistoryTests
{
    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Every_kind_is_read_back_as_it_was_written(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        Entry[] written = new Entries(record.Store.Ids).OneOfEach();
        Edit edit = await record.WriteAsync(written);
        Assert.Equal(EntryKind.All.Count, written.Select(e => e.GetType()).Distinct().Count());

        await using LogbookContext context = record.Store.Read();
        foreach (Entry entry in written)
        {
            EntryKind kind = EntryKind.Of(entry);
            Entry read = (await kind.FindAsync(context, entry.Key, default))!;
            Assert.Equal(kind.ToJson(kind.WithVersion(entry, 1, edit.Number)), kind.ToJson(read));
        }
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task An_edit_keeps_the_earlier_version_with_its_author_and_reason(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.Basis);
        record.Clock.Advance(TimeSpan.FromHours(1));
        Rig first = await record.ReadAsync(entries.Rig.Id);
        WriteOutcome outcome = await record.Store.WriteAsync(
            new EditDraft("Ben", "new plates"),
            [first with { Name = "Van One" }]
        );
        Assert.Empty(outcome.Problems);

        IReadOnlyList<(Entry Entry, Edit Edit)> history = await record.Store.HistoryAsync(
            EntryKind.Of(first),
            first.Key
        );
        Assert.Equal(["Van 1", "Van One"], history.Select(h => ((Rig)h.Entry).Name));
        Assert.Equal([1, 2], history.Select(h => h.Entry.Version));
        Assert.Equal(["Ana", "Ben"], history.Select(h => h.Edit.Author));
        Assert.Equal(["as it was", "new plates"], history.Select(h => h.Edit.Reason));
        Assert.Equal([TestRecord.Start, TestRecord.Start.AddHours(1)], history.Select(h => h.Edit.At));
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_stale_version_is_refused_and_nothing_of_its_edit_is_kept(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.Basis);
        Rig read = await record.ReadAsync(entries.Rig.Id);
        await record.WriteAsync(read with { Name = "first" });

        Note note = entries.Note("beside the stale one");
        WriteOutcome late = await record.Store.WriteAsync(
            TestRecord.Draft,
            [note, read with { Name = "second" }]
        );
        Assert.Null(late.Edit);
        Assert.Contains(
            "changed meanwhile",
            Assert.Single(late.Problems).Expected.ToString(),
            StringComparison.Ordinal
        );
        Assert.Null(await record.ReadAsync(note.Id));
        Assert.Equal("first", (await record.ReadAsync(entries.Rig.Id)).Name);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task What_cannot_be_is_refused_with_every_problem(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.Basis);
        WriteOutcome outcome = await record.Store.WriteAsync(
            TestRecord.Draft,
            [
                entries.Reading(TestRecord.Start) with
                {
                    Value_SI = double.NaN,
                    Temperature_K = 20,
                    StageId = null,
                },
                entries.Note("broken \ud800 text"),
                entries.Note("zero \0 inside"),
            ]
        );
        Assert.Null(outcome.Edit);
        Assert.Equal(
            ["reading stage", "reading value", "reading temperature", "Value_SI", "Text", "Text"],
            outcome.Problems.Select(p => p.Place)
        );
        await using LogbookContext context = record.Store.Read();
        Assert.Equal(1, await context.Edits.CountAsync(TestContext.Current.CancellationToken));
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Sent_twice_with_one_key_is_written_once(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.Basis);
        EditDraft draft = TestRecord.Draft with { IdempotencyKey = Guid.NewGuid() };
        WriteOutcome[] outcomes = await Task.WhenAll(
            Enumerable.Range(0, 4).Select(i => record.Store.WriteAsync(draft, [entries.Note($"try {i}")]))
        );
        Assert.Single(outcomes.Select(o => o.Edit!.Number).Distinct());
        await using LogbookContext context = record.Store.Read();
        Assert.Single(context.Live<Note>());
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task The_same_reading_is_held_once_unless_the_first_was_deleted(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.Basis);
        Reading first = entries.Reading(TestRecord.Start, ppm: 3);
        await record.WriteAsync(first);
        Reading again = entries.Reading(TestRecord.Start, ppm: 4);
        Assert.Null((await record.Store.WriteAsync(TestRecord.Draft, [again])).Edit);

        await record.Store.DeleteAsync(TestRecord.Draft, await record.ReadAsync(first.Id));
        await record.WriteAsync(again);
        await using LogbookContext context = record.Store.Read();
        Assert.Equal(0.004, Assert.Single(context.Live<Reading>()).Value_SI);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Undo_takes_back_only_the_fields_its_edit_changed(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.Basis);
        Edit renamed = await record.WriteAsync(
            await record.ReadAsync(entries.Bed.Id) with
            {
                Name = "Lead bed",
            }
        );
        await record.WriteAsync(await record.ReadAsync(entries.Bed.Id) with { Position = 3 });
        Assert.Empty((await record.Store.UndoAsync(TestRecord.Draft, renamed.Number)).Problems);
        Stage bed = await record.ReadAsync(entries.Bed.Id);
        Assert.Equal(("Bed", 3, 4), (bed.Name, bed.Position, bed.Version));

        Assert.Empty((await record.Store.RedoAsync(TestRecord.Draft, renamed.Number)).Problems);
        bed = await record.ReadAsync(entries.Bed.Id);
        Assert.Equal(("Lead bed", 3), (bed.Name, bed.Position));
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Undo_refuses_to_take_back_what_a_later_edit_changed_again(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.Basis);
        Edit first = await record.WriteAsync(await record.ReadAsync(entries.Rig.Id) with { Name = "A" });
        await record.WriteAsync(await record.ReadAsync(entries.Rig.Id) with { Name = "B" });
        WriteOutcome refused = await record.Store.UndoAsync(TestRecord.Draft, first.Number);
        Assert.Null(refused.Edit);
        Assert.EndsWith(" name", Assert.Single(refused.Problems).Place, StringComparison.Ordinal);
        Assert.Equal("B", (await record.ReadAsync(entries.Rig.Id)).Name);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Undoing_an_addition_deletes_and_redoing_it_brings_it_back(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.Basis);
        Note[] notes = [.. Enumerable.Range(0, 1200).Select(i => entries.Note($"note {i}"))];
        Edit added = await record.WriteAsync(notes);
        Assert.Empty((await record.Store.UndoAsync(TestRecord.Draft, added.Number)).Problems);
        await using LogbookContext context = record.Store.Read();
        Assert.Empty(context.Live<Note>());
        Assert.NotEmpty((await record.Store.UndoAsync(TestRecord.Draft, added.Number)).Problems);

        Assert.Empty((await record.Store.RedoAsync(TestRecord.Draft, added.Number)).Problems);
        Assert.Equal(1200, await context.Live<Note>().CountAsync(TestContext.Current.CancellationToken));
        Assert.NotEmpty((await record.Store.RedoAsync(TestRecord.Draft, added.Number)).Problems);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task The_tables_are_those_of_the_model(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        await using LogbookContext context = record.Store.Read();
        Assert.False(context.Database.HasPendingModelChanges());
    }

    [Fact]
    public async Task A_view_for_reading_cannot_write()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        await using LogbookContext context = record.Store.Read();
        context.Add(new Entries(record.Store.Ids).Source);
        await Assert.ThrowsAsync<InvalidOperationException>(() =>
            context.SaveChangesAsync(TestContext.Current.CancellationToken)
        );
    }

    [Theory]
    [InlineData("Volume_m3", "volume_m3")]
    [InlineData("ChangeOutLine_S_m", "change_out_line_S_m")]
    [InlineData("Value_SI", "value_SI")]
    [InlineData("IsBelowLimit", "is_below_limit")]
    public void Names_keep_their_unit(string property, string column) =>
        Assert.Equal(column, ColumnName.Of(property));
}
