using System.Text.Json.Nodes;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Storage;

/// <content>
/// Undo takes back what one edit changed, field by field, as a new edit: a field that a later edit changed
/// again stands in the way and is reported. Undoing an edit that made an entry deletes the entry. Redo takes
/// back the undo. A link that was shut stays shut: whoever may only log could open it again.
/// </content>
public sealed partial class LogbookStore
{
    private const int BatchSize = 1000;

    /// <summary>Takes back edit <paramref name="number"/>, whichever it is.</summary>
    public Task<WriteOutcome> UndoAsync(EditDraft draft, long number, CancellationToken cancel = default) =>
        EditAsync(
            draft,
            number,
            first: null,
            async (context, edit, problems) =>
            {
                if (await StandingUndoAsync(context, number, edit.Number, cancel) is { } undo)
                {
                    problems.Add(
                        new InputProblem(
                            "undo",
                            Sentence.Of($"edit {number}"),
                            $"an edit that stands; edit {undo} has undone it"
                        )
                    );
                    return;
                }

                await TakeBackAsync(context, edit.Number, number, problems, cancel);
            },
            cancel
        );

    /// <summary>Brings back edit <paramref name="number"/> after it was undone.</summary>
    public async Task<WriteOutcome> RedoAsync(
        EditDraft draft,
        long number,
        CancellationToken cancel = default
    )
    {
        long? undo;
        await using (LogbookContext context = Read())
        {
            undo = await StandingUndoAsync(context, number, beingWritten: 0, cancel);
        }

        return undo is { } standing
            ? await UndoAsync(draft, standing, cancel)
            : Refused(Sentence.Of($"redo {number}"), "an edit that has been undone");
    }

    /// <summary>Every version of one entry, oldest first, with the edit that wrote it.</summary>
    public async Task<IReadOnlyList<(Entry Entry, Edit Edit)>> HistoryAsync(
        EntryKind kind,
        Guid key,
        CancellationToken cancel = default
    )
    {
        await using LogbookContext context = Read();
        var versions = new List<Entry>();
        await foreach (
            EntryVersion earlier in context
                .History.AsNoTracking()
                .Where(v => v.Kind == kind.Name && v.Key == key)
                .OrderBy(v => v.Version)
                .AsAsyncEnumerable()
                .WithCancellation(cancel)
        )
        {
            versions.Add(kind.FromJson(earlier.Payload));
        }

        if (await kind.FindAsync(context, key, cancel) is { } current)
        {
            versions.Add(current);
        }

        List<long> numbers = [.. versions.Select(v => v.EditNumber)];
        Dictionary<long, Edit> edits = await context
            .Edits.AsNoTracking()
            .Where(e => numbers.Contains(e.Number))
            .ToDictionaryAsync(e => e.Number, cancel);
        return [.. versions.Select(v => (v, edits[v.EditNumber]))];
    }

    /// <summary>Which of these edits wrote one entry and nothing else, of whatever kind and whether it was changed again or not.</summary>
    internal static async Task<HashSet<long>> OfOneEntryAsync(
        LogbookContext context,
        IReadOnlyCollection<long> edits,
        CancellationToken cancel
    )
    {
        List<(long Edit, int Entries)> written =
        [
            .. (
                await context
                    .History.AsNoTracking()
                    .Where(v => edits.Contains(v.EditNumber))
                    .GroupBy(v => v.EditNumber)
                    .Select(g => new { Edit = g.Key, Entries = g.Count() })
                    .ToListAsync(cancel)
            ).Select(c => (c.Edit, c.Entries)),
        ];
        foreach (EntryKind kind in EntryKind.All)
        {
            written.AddRange(await kind.CountWrittenByAsync(context, edits, cancel));
        }

        return [.. written.GroupBy(c => c.Edit, c => c.Entries).Where(g => g.Sum() == 1).Select(g => g.Key)];
    }

    private static async Task<long?> StandingUndoAsync(
        LogbookContext context,
        long number,
        long beingWritten,
        CancellationToken cancel
    )
    {
        ILookup<long, long> undoers = (
            await context
                .Edits.AsNoTracking()
                .Where(e => e.Undoes != null && e.Number != beingWritten)
                .Select(e => new { e.Number, Undoes = e.Undoes!.Value })
                .ToListAsync(cancel)
        ).ToLookup(e => e.Undoes, e => e.Number);
        return FirstStanding(number);

        long? FirstStanding(long edit)
        {
            foreach (long undo in undoers[edit])
            {
                if (FirstStanding(undo) is null)
                {
                    return undo;
                }
            }

            return null;
        }
    }

    private static async Task TakeBackAsync(
        LogbookContext context,
        long editNumber,
        long undone,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        var touched = new List<(EntryKind Kind, Guid Key)>();
        foreach (EntryKind kind in EntryKind.All)
        {
            await foreach (Guid key in kind.KeysWrittenBy(context, undone).WithCancellation(cancel))
            {
                touched.Add((kind, key));
            }
        }

        await foreach (
            EntryVersion earlier in context
                .History.AsNoTracking()
                .Where(v => v.EditNumber == undone)
                .OrderBy(v => v.Kind)
                .ThenBy(v => v.Key)
                .AsAsyncEnumerable()
                .WithCancellation(cancel)
        )
        {
            touched.Add((EntryKind.Named(earlier.Kind)!, earlier.Key));
        }

        foreach (IGrouping<EntryKind, Guid> ofKind in touched.GroupBy(t => t.Kind, t => t.Key))
        {
            foreach (Guid[] batch in ofKind.Chunk(BatchSize))
            {
                await ofKind.Key.LoadAsync(context, batch, cancel);
                ILookup<Guid, EntryVersion> history = (
                    await context
                        .History.AsNoTracking()
                        .Where(v => v.Kind == ofKind.Key.Name && batch.Contains(v.Key))
                        .OrderBy(v => v.Version)
                        .ToListAsync(cancel)
                ).ToLookup(v => v.Key);
                foreach (Guid key in batch)
                {
                    await TakeBackAsync(
                        context,
                        editNumber,
                        undone,
                        (await ofKind.Key.FindAsync(context, key, cancel))!,
                        [.. history[key]],
                        problems,
                        cancel
                    );
                }

                if (problems.Problems.Count == 0)
                {
                    await context.SaveChangesAsync(cancel);
                }

                context.ChangeTracker.Clear();
            }
        }
    }

    private static async Task TakeBackAsync(
        LogbookContext context,
        long editNumber,
        long undone,
        Entry current,
        List<EntryVersion> earlier,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        EntryKind kind = EntryKind.Of(current);
        int at = earlier.FindIndex(v => v.EditNumber == undone);
        JsonObject now = Fields(kind, current);
        JsonObject after = at < 0 ? now : Fields(kind, kind.FromJson(earlier[at].Payload));
        JsonObject? before =
            at == 0 || earlier.Count == 0 ? null
            : at < 0 ? Fields(kind, kind.FromJson(earlier[^1].Payload))
            : Fields(kind, kind.FromJson(earlier[at - 1].Payload));
        JsonObject merged = (JsonObject)now.DeepClone();
        if (before is null)
        {
            merged["is_deleted"] = true;
        }
        else
        {
            foreach (string field in before.Select(p => p.Key).Where(IsContent))
            {
                if (
                    JsonNode.DeepEquals(before[field], after[field])
                    || JsonNode.DeepEquals(before[field], now[field])
                )
                {
                    continue;
                }

                if (JsonNode.DeepEquals(after[field], now[field]))
                {
                    merged[field] = before[field]?.DeepClone();
                }
                else
                {
                    problems.Add(
                        new InputProblem(
                            FormattableString.Invariant($"{kind.Name} {current.Key} {field}"),
                            now[field] is { } held
                                ? Sentence.Written(held.ToJsonString())
                                : Sentence.Of("nothing"),
                            "what the edit wrote: a later edit changed it; undo that one first"
                        )
                    );
                }
            }
        }

        if (current is ShareLink { IsDeleted: true })
        {
            problems.Add(
                new InputProblem(
                    "link",
                    Sentence.Written(current.Key.ToString()),
                    "a link that is not shut: what was revoked stays so; make a new one"
                )
            );
            return;
        }

        if (!JsonNode.DeepEquals(merged, now))
        {
            Entry entry = kind.FromJson(merged.ToJsonString());
            EntryCheck.Run(entry, problems);
            await PutAsync(context, editNumber, entry, problems, cancel);
        }
    }

    private static bool IsContent(string field) => field is not ("version" or "edit_number");

    private static JsonObject Fields(EntryKind kind, Entry entry) =>
        JsonNode.Parse(kind.ToJson(entry))!.AsObject();
}
