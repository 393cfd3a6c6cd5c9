using System.CommandLine;
using Rinsewright.Handouts.Paper;
using Rinsewright.Handouts.Report;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright report</c>: the record of a rig over a period, to print or to send.</summary>
internal static class ReportCommand
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "report",
            "Report the record of a rig over a period: water, fills, readings, forecasts and what came of them, costs, changes.",
            "rinsewright report \"Van 1\" --from 2025-12-01 --to 2026-02-28"
        );
        Argument<string?> rig = verb.Takes<string?>(
            "RIG",
            "Name of the rig in the record; not needed when there is only one.",
            a => a.DefaultValueFactory = _ => null
        );
        Option<string?> from = verb.Has<string?>(
            "--from",
            "First day, such as 2026-01-01; 90 days before the last if not given."
        );
        Option<string?> to = verb.Has<string?>("--to", "Last day; today if not given.");
        Option<string?> output = verb.Has<string?>(
            "--output",
            "Write the report to this .pdf or .html file."
        );
        Option<string> paper = verb.Has<string>(
            "--paper",
            "A4 or Letter, for a .pdf.",
            o => o.DefaultValueFactory = _ => Sheet.A4.Word
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                List<InputProblem> wrong = [];
                Sheet? sheet = Given.OneOf("--paper", line.GetValue(paper)!, Sheet.All, s => s.Word, wrong);
                string? path = PaperFile.Checked("--output", line.GetValue(output), [".pdf", ".html"], wrong);
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                await using LogbookContext context = store.Read();
                RecordNames names = await RecordNames.LoadAsync(context, cancel);
                Rig? found = names.FindRig(line.GetValue(rig), "RIG", problems);
                wrong.AddRange(problems.Problems);
                TimeZoneInfo zone = TimeZoneInfo.FindSystemTimeZoneById(found?.TimeZone ?? "UTC");
                var period = ReportPeriod.Read(
                    ("--from", line.GetValue(from)),
                    ("--to", line.GetValue(to)),
                    zone,
                    terminal.Clock.GetUtcNow(),
                    wrong
                );
                if (wrong.Count > 0)
                {
                    return terminal.Refuse(wrong);
                }

                RigReport report = (
                    await RigReport.OfAsync(
                        context,
                        found!.Id,
                        period.From,
                        period.To,
                        terminal.Libraries,
                        cancel: cancel
                    )
                )!;
                if (path is not null)
                {
                    PaperText text = ReportPaper.Of(report);
                    OutputFile.Replace(
                        path,
                        stream =>
                        {
                            if (PaperFile.IsPdf(path))
                            {
                                PdfPaper.Write(stream, text, sheet!, text.Title);
                            }
                            else
                            {
                                HtmlPaper.Write(stream, text);
                            }
                        }
                    );
                }

                return Verb.WantsJson(line) ? WriteJson(terminal, report) : WriteText(terminal, report, path);
            }
        );
        return verb;
    }

    private static int WriteJson(Terminal terminal, RigReport report) =>
        terminal.WriteJson(json =>
        {
            json.WriteString("rig", report.History.Rig.Name);
            json.WriteString("from", report.From);
            json.WriteString("to", report.To);
            json.WriteNumber("drawn_L", report.Drawn_L, JsonOutput.Digits);
            json.WriteNumber("washes", report.Washes);
            json.WriteNumber("readings", report.Readings.Count);
            json.WriteNumber("doubtful_readings", report.Readings.Count(r => r.Remarks.Count > 0));
            json.WriteStartArray("fills");
            foreach ((var stage, var fill) in report.Fills)
            {
                json.WriteStartObject();
                json.WriteString("stage", stage.Stage.Name);
                json.WriteString("medium", fill.Fill.Medium);
                json.WriteString("put_in", fill.Fill.PutInAt);
                if (fill.Fill.TakenOutAt is { } gone)
                {
                    json.WriteString("taken_out", gone);
                }
                else
                {
                    json.WriteNull("taken_out");
                }

                json.WriteNumber("drawn_L", 1e3 * fill.Drawn_m3, JsonOutput.Digits);
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteStartArray("forecasts");
            foreach (ForecastThen then in report.Then)
            {
                json.WriteStartObject();
                json.WriteString("at", then.At);
                json.WriteString("stage", then.Stage);
                json.WriteInterval("left_L", then.Left_L.Median, then.Left_L.P05, then.Left_L.P95);
                json.WriteNumber("came_L", then.Drawn_L, JsonOutput.Digits);
                json.WriteBoolean("passed", then.IsPassed);
                json.WriteBoolean("kept", then.IsKept);
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteStartArray("costs");
            foreach (Cost cost in report.Costs)
            {
                json.WriteStartObject();
                json.WriteString("for", cost.What);
                json.WriteNumber("amount", cost.Amount);
                json.WriteString("currency", cost.Currency);
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteStartArray("changes");
            foreach (Change change in report.Changes)
            {
                json.WriteStartObject();
                json.WriteString("at", change.At);
                json.WriteString("what", change.What);
                json.WriteString("by", change.By);
                json.WriteString("why", change.Why);
                json.WriteEndObject();
            }

            json.WriteEndArray();
        });

    private static int WriteText(Terminal terminal, RigReport report, string? path)
    {
        foreach (Block block in ReportPaper.Of(report).Blocks)
        {
            switch (block)
            {
                case Handouts.Paper.Heading { Level: 1 or 2 } heading:
                    terminal.WriteHeading(heading.Text);
                    break;
                case Paragraph { IsCaution: false } paragraph:
                    terminal.WriteText(paragraph.Text);
                    break;
                case Paragraph caution:
                    terminal.WriteCaution(caution.Text);
                    break;
                case PaperTable { Rows.Count: > 0 } table:
                    terminal.WriteTable(
                        [
                            .. table.Headings.Select(
                                (h, c) => c >= table.FirstNumber ? Heading.Number(h) : Heading.Words(h)
                            ),
                        ],
                        table.Rows
                    );
                    break;
                default:
                    break;
            }
        }

        if (path is not null)
        {
            terminal.WriteText($"Written: {path}");
        }

        return ExitCode.Done;
    }
}
