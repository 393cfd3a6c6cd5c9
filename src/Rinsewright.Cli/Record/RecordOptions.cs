using System.CommandLine;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary>What every command on the record shares: where the record is, who writes and why, and the answer.</summary>
internal sealed class RecordOptions
{
    private readonly Terminal _terminal;
    private readonly Option<string?> _data;
    private readonly Option<string?>? _by;
    private readonly Option<string?>? _why;

    public RecordOptions(Verb verb, Terminal terminal, bool writes = true)
    {
        _terminal = terminal;
        _data = verb.Has<string?>(
            "--data",
            "Folder of the record, or a PostgreSQL connection string (Host=…). Default: rinsewright in the XDG data folder."
        );
        if (writes)
        {
            _by = verb.Has<string?>("--by", "Who writes this. Default: the name of the user.");
            _why = verb.Has<string?>("--why", "Why, for the history.");
        }

        verb.AnswersInJson();
    }

    /// <summary>The options that say who writes and why.</summary>
    public IEnumerable<Option> Writer => new Option?[] { _by, _why }.OfType<Option>();

    public StoreAddress Address(ParseResult line) =>
        StoreAddress.Parse(line.GetValue(_data), _terminal.Variable);

    public EditDraft Draft(ParseResult line, string reason = "") =>
        new(
            line.GetValue(_by!) ?? _terminal.Variable("USER") ?? _terminal.Variable("USERNAME") ?? "someone",
            line.GetValue(_why!) ?? reason
        );

    public Task<LogbookStore> OpenAsync(ParseResult line, CancellationToken cancel) =>
        LogbookStore.OpenAsync(Address(line), _terminal.Clock, cancel);

    /// <summary>Makes entries from the command line and writes them as one edit, or names every problem.</summary>
    public async Task<int> WriteAsync(
        ParseResult line,
        Func<LogbookStore, RecordNames, ProblemList, Task<IReadOnlyList<Entry>>> make,
        CancellationToken cancel
    )
    {
        await using LogbookStore store = await OpenAsync(line, cancel);
        RecordNames names;
        await using (LogbookContext context = store.Read())
        {
            names = await RecordNames.LoadAsync(context, cancel);
        }

        var problems = new ProblemList();
        IReadOnlyList<Entry> entries = await make(store, names, problems);
        if (problems.Problems.Count > 0)
        {
            return _terminal.Refuse(problems.Problems);
        }

        return Answer(line, await store.WriteAsync(Draft(line), entries, cancel), entries);
    }

    /// <summary>Prints the edit, or why it was refused.</summary>
    /// <param name="line">The command line.</param>
    /// <param name="outcome">The edit, or what was wrong.</param>
    /// <param name="entries">What was written.</param>
    /// <param name="done">What was done, in words, where the entries do not say it.</param>
    public int Answer(
        ParseResult line,
        WriteOutcome outcome,
        IReadOnlyList<Entry> entries,
        string? done = null
    )
    {
        if (outcome.Edit is not { } edit)
        {
            return _terminal.Refuse(outcome.Problems);
        }

        if (Verb.WantsJson(line))
        {
            return _terminal.WriteJson(json =>
            {
                json.WriteNumber("edit", edit.Number);
                json.WriteString("at", edit.At);
                json.WriteString("author", edit.Author);
                if (edit.Undoes is { } undone)
                {
                    json.WriteNumber("undoes", undone);
                }

                json.WriteStartArray("entries");
                foreach (Entry entry in entries)
                {
                    json.WriteStartObject();
                    json.WritePropertyName(EntryKind.Of(entry).Name);
                    json.WriteRawValue(EntryKind.Of(entry).ToJson(entry));
                    json.WriteEndObject();
                }

                json.WriteEndArray();
            });
        }

        string what =
            done is not null ? done
            : edit.Undoes is { } taken ? FormattableString.Invariant($"edit {taken} taken back")
            : entries.Count == 1 ? EntryKind.Of(entries[0]).Name.Replace('_', ' ')
            : Counted.Of(entries.Count, "entry", "entries");
        _terminal.WriteText(
            FormattableString.Invariant(
                $"Written: {what} (edit {edit.Number} by {edit.Author}). 'rinsewright undo {edit.Number}' takes it back."
            )
        );
        return ExitCode.Done;
    }

    /// <summary>Reads <c>--at</c> in the rig's time zone; nothing given means now.</summary>
    public DateTimeOffset At(string? text, Rig? rig, ProblemList problems) =>
        WrittenText.At("--at", text, rig, _terminal.Clock, problems);
}
