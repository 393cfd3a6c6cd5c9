using System.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright import</c>.</summary>
internal static class ImportCommand
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "import",
            "Take in readings from a CSV file as one edit, or a whole record from a JSON export into an empty one.",
            "rinsewright import examples/readings.csv --preview",
            "rinsewright import examples/readings.csv"
        );
        Argument<string> path = verb.Takes<string>("FILE", "A .csv file of readings, or a .json export.");
        Option<bool> preview = verb.Has<bool>("--preview", "Say what would happen and write nothing.");
        Option<bool> skip = verb.Has<bool>(
            "--skip-bad-rows",
            "Take the good rows of a file that has bad ones."
        );
        Option<char?> separator = verb.Has<char?>(
            "--separator",
            "Field separator. Default: told from the header."
        );
        Option<bool?> comma = verb.Has<bool?>(
            "--decimal-comma",
            "true or false. Default: told from the file."
        );
        Option<string?> dates = verb.Has<string?>(
            "--dates",
            "Format of dates that are not ISO 8601, such as \"dd.MM.yyyy HH:mm\"."
        );
        Option<string?> rig = verb.Has<string?>("--rig", "The rig, where the file does not say.");
        Option<string?> stage = verb.Has<string?>("--stage", "The stage, where the file does not say.");
        Option<string?> place = verb.Has<string?>("--place", "The place, where the file does not say.");
        Option<string?> meter = verb.Has<string?>("--meter", "The meter, where the file does not say.");
        Option[] ofReadings = [.. verb.Options];
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                string file = line.GetValue(path)!;
                if (!File.Exists(file))
                {
                    return terminal.Refuse([
                        new InputProblem(file, "no such file", "the path of an existing file"),
                    ]);
                }

                bool isExport = Path.GetExtension(file).Equals(".json", StringComparison.OrdinalIgnoreCase);
                List<InputProblem> misplaced =
                [
                    .. ofReadings
                        .Concat(record.Writer)
                        .Where(o => isExport && line.GetResult(o) is { Implicit: false })
                        .Select(o => new InputProblem(
                            o.Name,
                            "with a .json export",
                            "a .csv file of readings"
                        )),
                ];
                if (misplaced.Count > 0)
                {
                    return terminal.Refuse(misplaced);
                }

                await using FileStream stream = File.OpenRead(file);
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                if (isExport)
                {
                    IReadOnlyList<InputProblem> problems = await RecordJson.ImportAsync(
                        store,
                        stream,
                        cancel
                    );
                    return problems.Count > 0
                        ? terminal.Refuse(problems)
                        : Done(line, "The record is filled.");
                }

                ImportReport report = await ReadingImport.RunAsync(
                    store,
                    stream,
                    new ReadingCsvOptions
                    {
                        Separator = line.GetValue(separator),
                        HasDecimalComma = line.GetValue(comma),
                        DateFormat = line.GetValue(dates),
                        Rig = line.GetValue(rig),
                        Stage = line.GetValue(stage),
                        Place = line.GetValue(place),
                        Meter = line.GetValue(meter),
                    },
                    record.Draft(line, $"import of {Path.GetFileName(file)}"),
                    line.GetValue(preview),
                    line.GetValue(skip),
                    cancel
                );
                return Print(line, report, line.GetValue(skip));
            }
        );
        return verb;

        int Done(ParseResult line, string text)
        {
            if (Verb.WantsJson(line))
            {
                return terminal.WriteJson(json => json.WriteBoolean("done", true));
            }

            terminal.WriteText(text);
            return ExitCode.Done;
        }

        int Print(ParseResult line, ImportReport report, bool skipsBadRows)
        {
            if (report.ProblemCount > 0)
            {
                terminal.Refuse(report.Problems);
                if (report.ProblemCount > report.Problems.Count)
                {
                    terminal.Error.WriteLine(
                        FormattableString.Invariant(
                            $"and {Counted.Of(report.ProblemCount - report.Problems.Count, "more problem")}"
                        )
                    );
                }

                if (!skipsBadRows)
                {
                    terminal.Error.WriteLine("Nothing was written.");
                    return ExitCode.BadInput;
                }
            }

            if (Verb.WantsJson(line))
            {
                return terminal.WriteJson(json =>
                {
                    json.WriteNumber("rows", report.Rows);
                    json.WriteNumber("added", report.Added);
                    json.WriteNumber("already_there", report.AlreadyThere);
                    json.WriteNumber("problems", report.ProblemCount);
                    if (report.Edit is { } edit)
                    {
                        json.WriteNumber("edit", edit.Number);
                    }
                });
            }

            if (report.Edit is null)
            {
                terminal.WriteTable(
                    [
                        Heading.Words("at (UTC)"),
                        Heading.Words("what"),
                        Heading.Number("value"),
                        Heading.Words("unit"),
                    ],
                    report.FirstReadings.Select(r =>
                        (IReadOnlyList<string>)
                            [
                                FormattableString.Invariant($"{r.At:yyyy-MM-dd HH:mm:ss}"),
                                r.Measurand.ToString(),
                                r.Written,
                                r.Unit,
                            ]
                    )
                );
            }

            terminal.WriteText(
                FormattableString.Invariant(
                    $"{Counted.Of(report.Rows, "row")}: {Counted.Of(report.Added, "new reading")}, {report.AlreadyThere} already in the record. "
                )
                    + (
                        report.Edit is { } written
                            ? FormattableString.Invariant(
                                $"Written as edit {written.Number}; 'rinsewright undo {written.Number}' takes it back."
                            )
                            : "Nothing was written."
                    )
            );
            return ExitCode.Done;
        }
    }
}
