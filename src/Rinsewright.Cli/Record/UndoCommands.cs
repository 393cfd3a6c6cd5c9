using System.CommandLine;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright undo</c> and <c>rinsewright redo</c>.</summary>
internal static class UndoCommands
{
    public static Command CreateUndo(Terminal terminal) =>
        Create(
            terminal,
            "undo",
            "Take back an edit, whichever it is; the last one that a person made and that stands when no number is given.",
            (edits, undone) =>
                edits.LastOrDefault(e =>
                    e.Undoes is null && !undone.Contains(e.Number) && e.Author is not Edit.OfItself
                ),
            (store, draft, number, cancel) => store.UndoAsync(draft, number, cancel)
        );

    public static Command CreateRedo(Terminal terminal) =>
        Create(
            terminal,
            "redo",
            "Bring back an edit that was undone; the last such one when no number is given.",
            (edits, undone) =>
                edits.LastOrDefault(e => e.Undoes is not null && !undone.Contains(e.Number)) is { } undo
                    ? edits.FirstOrDefault(e => e.Number == undo.Undoes)
                    : null,
            (store, draft, number, cancel) => store.RedoAsync(draft, number, cancel)
        );

    private static Verb Create(
        Terminal terminal,
        string name,
        string description,
        Func<List<Edit>, HashSet<long>, Edit?> findDefault,
        Func<LogbookStore, EditDraft, long, CancellationToken, Task<WriteOutcome>> act
    )
    {
        var verb = new Verb(name, description, $"rinsewright {name}");
        Argument<long?> number = verb.Takes<long?>(
            "EDIT",
            "Number of the edit.",
            a => a.Arity = ArgumentArity.ZeroOrOne
        );
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                long? edit = line.GetValue(number);
                if (edit is null)
                {
                    await using LogbookContext context = store.Read();
                    List<Edit> edits = await context
                        .Edits.AsNoTracking()
                        .OrderBy(e => e.Number)
                        .ToListAsync(cancel);
                    HashSet<long> undone = [];
                    foreach (Edit undo in Enumerable.Reverse(edits))
                    {
                        if (undo.Undoes is { } target && !undone.Contains(undo.Number))
                        {
                            undone.Add(target);
                        }
                    }

                    edit = findDefault(edits, undone)?.Number;
                }

                return edit is { } found
                    ? record.Answer(line, await act(store, record.Draft(line), found, cancel), [])
                    : terminal.Refuse([new InputProblem("EDIT", "none", $"an edit to {name}")]);
            }
        );
        return verb;
    }
}
