using System.CommandLine;
using System.Globalization;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log show</c>: one entry in every version, with who wrote it, when and why; a photograph as a file.</summary>
internal static class LogShow
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "show",
            "Show an entry in every version, with who wrote it, when and why.",
            "rinsewright log show rig \"Van 1\""
        );
        Argument<string> kind = EntryOptions.TakesKind(verb);
        Argument<string> which = LogAdd.TakesWhich(verb);
        Option<string?> to = verb.Has<string?>("--to", "Of a photograph: the file to write it to.");
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                List<InputProblem> wrong = [];
                PaperFile.Checked("--to", line.GetValue(to), [], wrong);
                problems.AddAll(wrong);

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                await using LogbookContext context = store.Read();
                EntryKind? ofKind = EntryOptions.Kind(line.GetValue(kind)!, problems);
                Entry? entry = ofKind is null
                    ? null
                    : await new EntryFields(store, context).FindAsync(
                        ofKind,
                        line.GetValue(which)!,
                        "WHICH",
                        problems,
                        cancel
                    );
                string? file = line.GetValue(to);
                problems.Require(
                    file is null || entry is null or Photograph,
                    "--to",
                    $"{file}",
                    "a photograph to write there"
                );
                if (entry is null || problems.Problems.Count > 0)
                {
                    return terminal.Refuse(problems.Problems);
                }

                if (file is not null)
                {
                    PhotographContent picture = (
                        await context.FindAsync<PhotographContent>(
                            [((Photograph)entry).PhotographContentId],
                            cancel
                        )
                    )!;
                    OutputFile.Replace(file, stream => stream.Write(picture.Content));
                }

                IReadOnlyList<(Entry Entry, Edit Edit)> versions = await store.HistoryAsync(
                    ofKind!,
                    entry.Key,
                    cancel
                );
                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteStartArray("versions");
                        foreach ((Entry version, Edit edit) in versions)
                        {
                            json.WriteStartObject();
                            json.WriteNumber("edit", edit.Number);
                            json.WriteString("at", edit.At);
                            json.WriteString("author", edit.Author);
                            json.WriteString("reason", edit.Reason);
                            json.WritePropertyName(ofKind!.Name);
                            json.WriteRawValue(ofKind.ToJson(version));
                            json.WriteEndObject();
                        }

                        json.WriteEndArray();
                    });
                }

                RecordListing listing = await RecordListing.LoadAsync(context, cancel);
                terminal.WriteTable(
                    [Heading.Words(ofKind!.Name.Replace('_', ' ')), Heading.Words(entry.Key.ToString())],
                    listing
                        .Describe(entry)
                        .Select(f => (IReadOnlyList<string>)[f.Field.Replace('_', ' '), f.Text])
                );
                if (entry.IsDeleted)
                {
                    terminal.WriteText("It is deleted.");
                }

                terminal.WriteTable(
                    [
                        Heading.Number("Version"),
                        Heading.Words("written (UTC)"),
                        Heading.Words("by"),
                        Heading.Words("why"),
                        Heading.Number("edit"),
                    ],
                    versions.Select(v =>
                        (IReadOnlyList<string>)
                            [
                                FormattableString.Invariant($"{v.Entry.Version}"),
                                v.Edit.At.UtcDateTime.ToString(
                                    "yyyy-MM-dd HH:mm:ss",
                                    CultureInfo.InvariantCulture
                                ),
                                v.Edit.Author,
                                v.Edit.Reason,
                                FormattableString.Invariant($"{v.Edit.Number}"),
                            ]
                    )
                );
                return ExitCode.Done;
            }
        );
        return verb;
    }
}
