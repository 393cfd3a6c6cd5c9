using System.Globalization;
using System.Text;
using CsCheck;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Records;

/// <summary>The store against a plain model in memory, over random sequences of edits.</summary>
public sealed class ModelTests
{
    private enum Act
    {
        Add,
        ChangeText,
        ChangeStage,
        Delete,
        Undo,
        Redo,
        Reopen,
    }

    [Theory]
    [InlineData(DatabaseKind.Sqlite, 12)]
    [InlineData(DatabaseKind.Postgres, 6)]
    public async Task The_store_does_what_the_model_does(DatabaseKind database, int sequences)
    {
        Gen<(Act, int, int)> step = Gen.Select(
            Gen.Frequency(
                (5, Gen.Const(Act.Add)),
                (6, Gen.Const(Act.ChangeText)),
                (4, Gen.Const(Act.ChangeStage)),
                (3, Gen.Const(Act.Delete)),
                (6, Gen.Const(Act.Undo)),
                (5, Gen.Const(Act.Redo)),
                (1, Gen.Const(Act.Reopen))
            ),
            Gen.Int[0, 1000],
            Gen.Int[0, 1000]
        );
        // Several sequences share one record, so that each starts on what the last one left.
        await using TestRecord record = await TestRecord.OpenAsync(database);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.Basis);
        var model = new Model();
        await step.Array[10, 30]
            .Repeat()
            .SampleAsync(
                async steps =>
                {
                    foreach ((Act act, int a, int b) in steps)
                    {
                        await TakeAsync(record, entries, model, act, a, b);
                    }

                    Assert.Equal(model.ToString(), await DescribeAsync(record));
                },
                iter: sequences,
                threads: 1
            );
    }

    private static async Task TakeAsync(
        TestRecord record,
        Entries entries,
        Model model,
        Act act,
        int a,
        int b
    )
    {
        record.Clock.Advance(TimeSpan.FromMinutes(1));
        WriteOutcome? outcome = null;
        bool expected = true;
        if (act is Act.Add)
        {
            Note note = entries.Note(FormattableString.Invariant($"text {b % 7}"));
            outcome = await record.Store.WriteAsync(TestRecord.Draft, [note]);
            model.Write(outcome.Edit!.Number, note.Key, new NoteState(note.Text, null, IsDeleted: false));
        }
        else if (act is Act.Undo or Act.Redo)
        {
            if (model.EditNumbers.Count == 0)
            {
                return;
            }

            long number = model.EditNumbers[a % model.EditNumbers.Count];
            outcome =
                act is Act.Undo
                    ? await record.Store.UndoAsync(TestRecord.Draft, number)
                    : await record.Store.RedoAsync(TestRecord.Draft, number);
            long? undone = act is Act.Undo ? number : model.StandingUndoOf(number);
            expected = undone is { } target && model.TryUndo(outcome.Edit?.Number ?? 0, target);
        }
        else if (act is Act.Reopen)
        {
            await record.ReopenAsync();
        }
        else if (model.Keys.Count > 0)
        {
            Guid key = model.Keys[a % model.Keys.Count];
            Note read = await record.ReadAsync(new Id<Note>(key));
            Note changed = act switch
            {
                Act.ChangeText => read with { Text = FormattableString.Invariant($"text {b % 7}") },
                Act.ChangeStage => read with { StageId = b % 2 == 0 ? entries.Bed.Id : null },
                _ => read with { IsDeleted = true },
            };
            outcome = await record.Store.WriteAsync(TestRecord.Draft, [changed]);
            model.Write(
                outcome.Edit!.Number,
                key,
                new NoteState(changed.Text, changed.StageId?.Value, changed.IsDeleted)
            );
        }

        if (outcome is not null)
        {
            Assert.Equal(expected, outcome.Edit is not null);
            Assert.Equal(expected, outcome.Problems.Count == 0);
        }
    }

    private static async Task<string> DescribeAsync(TestRecord record)
    {
        var text = new StringBuilder();
        var keys = new List<Guid>();
        await using (LogbookContext context = record.Store.Read())
        {
            await foreach (Entry note in EntryKind.Named("note")!.AllByKey(context))
            {
                keys.Add(note.Key);
            }
        }

        foreach (Guid key in keys)
        {
            foreach (
                (Entry entry, Edit edit) in await record.Store.HistoryAsync(EntryKind.Named("note")!, key)
            )
            {
                var note = (Note)entry;
                Line(text, key, edit.Number, new NoteState(note.Text, note.StageId?.Value, note.IsDeleted));
            }
        }

        return text.ToString();
    }

    private static void Line(StringBuilder text, Guid key, long edit, NoteState state) =>
        text.AppendLine(CultureInfo.InvariantCulture, $"{key} {edit} {state}");

    private readonly record struct NoteState(string Text, Guid? Stage, bool IsDeleted);

    private sealed class Model
    {
        private readonly SortedDictionary<string, List<(long Edit, NoteState State)>> _notes = new(
            StringComparer.Ordinal
        );
        private readonly Dictionary<long, long> _undoes = [];

        public List<long> EditNumbers { get; } = [];

        public List<Guid> Keys { get; } = [];

        public void Write(long edit, Guid key, NoteState state)
        {
            EditNumbers.Add(edit);
            if (!_notes.TryGetValue(key.ToString(), out List<(long, NoteState)>? versions))
            {
                Keys.Add(key);
                _notes[key.ToString()] = versions = [];
            }

            versions.Add((edit, state));
        }

        public long? StandingUndoOf(long number) =>
            _undoes
                .Where(u => u.Value == number && StandingUndoOf(u.Key) is null)
                .Select(u => (long?)u.Key)
                .FirstOrDefault();

        public bool TryUndo(long edit, long number)
        {
            if (StandingUndoOf(number) is not null)
            {
                return false;
            }

            var changes = new List<(List<(long Edit, NoteState State)> Versions, NoteState State)>();
            foreach (List<(long Edit, NoteState State)> versions in _notes.Values)
            {
                int at = versions.FindIndex(v => v.Edit == number);
                if (at < 0)
                {
                    continue;
                }

                NoteState now = versions[^1].State;
                NoteState merged = now with { IsDeleted = true };
                if (at > 0)
                {
                    NoteState before = versions[at - 1].State;
                    NoteState after = versions[at].State;
                    if (
                        !Merge(before.Text, after.Text, now.Text, out string text)
                        || !Merge(before.Stage, after.Stage, now.Stage, out Guid? stage)
                        || !Merge(before.IsDeleted, after.IsDeleted, now.IsDeleted, out bool deleted)
                    )
                    {
                        return false;
                    }

                    merged = new NoteState(text, stage, deleted);
                }

                if (merged != now)
                {
                    changes.Add((versions, merged));
                }
            }

            EditNumbers.Add(edit);
            _undoes.Add(edit, number);
            changes.ForEach(c => c.Versions.Add((edit, c.State)));
            return true;
        }

        public override string ToString()
        {
            var text = new StringBuilder();
            foreach ((string key, List<(long Edit, NoteState State)> versions) in _notes)
            {
                versions.ForEach(v => Line(text, Guid.Parse(key), v.Edit, v.State));
            }

            return text.ToString();
        }

        private static bool Merge<T>(T before, T after, T now, out T merged)
        {
            bool stays = Equals(before, after) || Equals(before, now);
            merged = stays ? now : before;
            return stays || Equals(after, now);
        }
    }
}
