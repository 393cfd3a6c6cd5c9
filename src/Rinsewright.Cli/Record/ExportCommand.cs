using System.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright export</c>.</summary>
internal static class ExportCommand
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "export",
            "Write the whole record with its history as JSON, or its readings as CSV.",
            "rinsewright export --csv",
            "rinsewright export"
        );
        Argument<string> path = verb.Takes<string>(
            "FILE",
            "Where to: a .json or .csv file, or - for the terminal.",
            a => a.DefaultValueFactory = _ => "-"
        );
        Option<bool> csv = verb.Has<bool>("--csv", "Readings as CSV. Default when FILE ends in .csv.");
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                string file = line.GetValue(path)!;
                bool asCsv =
                    line.GetValue(csv)
                    || Path.GetExtension(file).Equals(".csv", StringComparison.OrdinalIgnoreCase);
                List<InputProblem> problems = [];
                if (file is not "-")
                {
                    PaperFile.Checked("FILE", file, [], problems);
                }

                if (problems.Count > 0)
                {
                    return terminal.Refuse(problems);
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                if (file is "-")
                {
                    using var buffer = new MemoryStream();
                    await WriteAsync(buffer);
                    buffer.Position = 0;
                    using var text = new StreamReader(buffer);
                    await terminal.Output.WriteAsync(await text.ReadToEndAsync(cancel));
                    return ExitCode.Done;
                }

                long count = await OutputFile.ReplaceAsync(file, WriteAsync);
                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteString("file", Path.GetFullPath(file));
                        json.WriteNumber("written", count);
                    });
                }

                terminal.WriteText(
                    asCsv
                        ? $"{Counted.Of(count, "reading")} written to {file}."
                        : FormattableString.Invariant($"{count} edits and versions written to {file}.")
                );
                return ExitCode.Done;

                Task<long> WriteAsync(Stream stream) =>
                    asCsv
                        ? ReadingCsvExport.WriteAsync(store, stream, cancel)
                        : RecordJson.ExportAsync(store, stream, cancel);
            }
        );
        return verb;
    }
}
