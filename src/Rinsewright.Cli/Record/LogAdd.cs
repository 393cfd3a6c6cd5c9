using System.CommandLine;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log add</c>, <c>log edit</c> and <c>log delete</c>: entries of every kind.</summary>
internal static class LogAdd
{
    public static Command CreateAdd(Terminal terminal)
    {
        var verb = new Verb(
            "add",
            "Write an entry of any kind by its fields.",
            "rinsewright log add person name=Ana units=us_customary",
            "rinsewright log add wash_task \"name=paving\" \"volume=60 L\" \"flow=9 L/min\""
        );
        Argument<string> kind = EntryOptions.TakesKind(verb);
        Argument<string[]> fields = EntryOptions.TakesFields(verb);
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            (line, cancel) =>
                record.WriteAsync(
                    line,
                    async (store, _, problems) =>
                    {
                        EntryKind? ofKind = EntryOptions.Kind(line.GetValue(kind)!, problems);
                        var given = EntryOptions.Fields(line.GetValue(fields)!, problems);
                        await using LogbookContext context = store.Read();
                        return
                            ofKind is not null
                            && await new EntryFields(store, context).MakeAsync(
                                ofKind,
                                given,
                                problems,
                                cancel
                            )
                                is { } entry
                            ? [entry]
                            : [];
                    },
                    cancel
                )
        );
        return verb;
    }

    public static Command CreateEdit(Terminal terminal)
    {
        var verb = new Verb(
            "edit",
            "Write a new version of an entry; the earlier one stays in the history.",
            "rinsewright log edit rig \"Van 1\" \"name=Van One\" --why \"new plates\""
        );
        Argument<string> kind = EntryOptions.TakesKind(verb);
        Argument<string> which = TakesWhich(verb);
        Argument<string[]> fields = EntryOptions.TakesFields(verb);
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            (line, cancel) =>
                record.WriteAsync(
                    line,
                    async (store, _, problems) =>
                    {
                        EntryKind? ofKind = EntryOptions.Kind(line.GetValue(kind)!, problems);
                        var given = EntryOptions.Fields(line.GetValue(fields)!, problems);
                        await using LogbookContext context = store.Read();
                        var texts = new EntryFields(store, context);
                        return
                            ofKind is not null
                            && await texts.FindAsync(ofKind, line.GetValue(which)!, "WHICH", problems, cancel)
                                is { } entry
                            && await texts.ChangeAsync(entry, given, problems, cancel) is { } changed
                            ? [changed]
                            : [];
                    },
                    cancel
                )
        );
        return verb;
    }

    public static Command CreateDelete(Terminal terminal)
    {
        var verb = new Verb(
            "delete",
            "Take an entry out of use. Nothing is lost: undo brings it back, and its history stays.",
            "rinsewright log delete meter \"Pocket meter\""
        );
        Argument<string> kind = EntryOptions.TakesKind(verb);
        Argument<string> which = TakesWhich(verb);
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                Entry? entry = null;
                await using (LogbookContext context = store.Read())
                {
                    if (EntryOptions.Kind(line.GetValue(kind)!, problems) is { } ofKind)
                    {
                        entry = await new EntryFields(store, context).FindAsync(
                            ofKind,
                            line.GetValue(which)!,
                            "WHICH",
                            problems,
                            cancel
                        );
                    }
                }

                problems.Require(
                    entry is not { IsDeleted: true },
                    "WHICH",
                    $"{line.GetValue(which)}",
                    "an entry that is not deleted yet"
                );
                return entry is null || problems.Problems.Count > 0
                    ? terminal.Refuse(problems.Problems)
                    : record.Answer(
                        line,
                        await store.DeleteAsync(record.Draft(line), entry, cancel),
                        [entry]
                    );
            }
        );
        return verb;
    }

    public static Argument<string> TakesWhich(Verb verb) =>
        verb.Takes<string>("WHICH", "Its name or its id, which 'log list' shows.");
}
