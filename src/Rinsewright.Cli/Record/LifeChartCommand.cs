using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using System.Text;
using Rinsewright.Handouts;
using Rinsewright.Handouts.Charts;
using Rinsewright.Handouts.Lives;
using Rinsewright.Handouts.Paper;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright life-chart</c>: how far a fill of one's own bed goes against the strength of the water, for the wall.</summary>
internal static class LifeChartCommand
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "life-chart",
            "Chart for the wall how far a fill of a rig's last bed goes against the strength of the raw water.",
            "rinsewright life-chart \"Van 1\"",
            "rinsewright life-chart \"Van 1\" --flow \"5 L/min\" --flow \"10 L/min\" --line \"10 ppm\" --json"
        );
        Argument<string?> rig = verb.Takes<string?>(
            "RIG",
            "Name of the rig in the record; not needed when there is only one.",
            a => a.DefaultValueFactory = _ => null
        );
        Option<string[]> flows = verb.Has<string[]>(
            "--flow",
            "A flow to draw; may be repeated. Else the usual flow of the draws and half of it."
        );
        Option<string[]> lines = verb.Has<string[]>(
            "--line",
            "A change-out line to draw, as for bed; may be repeated. Else the rig's own and \"1 mg/L silica\"."
        );
        Option<string?> at = verb.Has<string?>("--at", "The moment of asking; now if not given.");
        Option<string?> output = verb.Has<string?>("--output", "Write the sheet to this .pdf or .svg file.");
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
                ImmutableArray<VolumeFlow> askedFlows =
                [
                    .. (line.GetValue(flows) ?? [])
                        .Select(f => Given.AboveZero<VolumeFlow>("--flow", f, wrong))
                        .OfType<VolumeFlow>(),
                ];
                ImmutableArray<ChangeOutLine> askedLines =
                [
                    .. (line.GetValue(lines) ?? [])
                        .Select(l => Given.Line("--line", l, wrong))
                        .OfType<ChangeOutLine>(),
                ];
                Sheet? sheet = Given.OneOf("--paper", line.GetValue(paper)!, Sheet.All, s => s.Word, wrong);
                string? path = PaperFile.Checked("--output", line.GetValue(output), [".pdf", ".svg"], wrong);
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                await using LogbookContext context = store.Read();
                RecordNames names = await RecordNames.LoadAsync(context, cancel);
                Records.Logbook.Rig? found = names.FindRig(line.GetValue(rig), "RIG", problems);
                DateTimeOffset moment = record.At(line.GetValue(at), found, problems);
                wrong.AddRange(problems.Problems);
                if (wrong.Count > 0)
                {
                    return terminal.Refuse(wrong);
                }

                RigHistory history = (await RigHistory.LoadAsync(context, found!.Id, moment, cancel))!;
                var waters = new SourceWaters();
                if (
                    RigBed.Of(history, moment, waters, out IReadOnlyList<InputProblem> missing) is not { } bed
                )
                {
                    return terminal.Refuse(missing);
                }

                LifeChart? chart = terminal.WithProgress(
                    found.Name,
                    progress =>
                    {
                        LifeChart? made = LifeChart.Of(
                            bed,
                            askedFlows.IsEmpty ? LifeChart.UsualFlows(bed) : askedFlows,
                            askedLines.IsEmpty ? LifeChart.UsualLines(bed) : askedLines,
                            cancel
                        );
                        progress.Report(1);
                        return made;
                    }
                );
                if (chart is null)
                {
                    return terminal.Fail("the bed model could not run these beds: please report the rig");
                }

                if (path is not null)
                {
                    OutputFile.Replace(
                        path,
                        stream =>
                        {
                            if (PaperFile.IsPdf(path))
                            {
                                LifeChartPicture.WritePdf(stream, chart, sheet!);
                            }
                            else
                            {
                                stream.Write(Encoding.UTF8.GetBytes(LifeChartPicture.ToSvg(chart, sheet!)));
                            }
                        }
                    );
                }

                return Verb.WantsJson(line) ? WriteJson(terminal, chart) : WriteText(terminal, chart, path);
            }
        );
        return verb;
    }

    private static int WriteJson(Terminal terminal, LifeChart chart) =>
        terminal.WriteJson(json =>
        {
            json.WriteString("rig", chart.Bed.History.Rig.Name);
            json.WriteString("stage", chart.Bed.Stage.Name);
            json.WriteNumber("meter_factor", chart.Bed.MeterFactor, 4);
            json.WriteNumber("per_wash_L", chart.Bed.PerWash_L ?? double.NaN, JsonOutput.Digits);
            json.WriteNumber("now_uS_cm", chart.Now_uS_cm, JsonOutput.Digits);
            if (chart.Range is { } range)
            {
                json.WriteInterval("now_L", range.Middle, range.Low, range.High);
            }
            else
            {
                json.WriteNull("now_L");
            }

            json.WriteStartArray("curves");
            foreach (LifeCurve curve in chart.Curves)
            {
                json.WriteStartObject();
                json.WriteNumber("flow_L_min", curve.Flow.LitersPerMinute, JsonOutput.Digits);
                json.WriteString("line", curve.Line.Text);
                json.WriteNumbers("strength_uS_cm", [.. curve.Points.Select(p => p.Strength_uS_cm)]);
                json.WriteNumbers("life_L", [.. curve.Points.Select(p => p.Liters)]);
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteStartArray("fills");
            foreach (FillPoint fill in chart.Fills)
            {
                json.WriteStartObject();
                json.WriteNumber("strength_uS_cm", fill.Strength_uS_cm, JsonOutput.Digits);
                json.WriteNumber("drawn_L", fill.Liters, JsonOutput.Digits);
                json.WriteBoolean("changed", fill.IsChanged);
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteNumbers("readings_uS_cm", [.. chart.Readings_uS_cm]);
        });

    private static int WriteText(Terminal terminal, LifeChart chart, string? path)
    {
        terminal.WriteHeading(LifeChartPicture.TitleOf(chart));
        terminal.WriteTable(
            [
                Heading.Number("raw water [ppm]"),
                .. chart.Curves.Select(c =>
                    Heading.Number(
                        string.Create(
                            CultureInfo.InvariantCulture,
                            $"litres at {c.Flow.LitersPerMinute:0.#} L/min to {c.Line.Text}"
                        )
                    )
                ),
            ],
            chart
                .Curves[0]
                .Points.Select(
                    (p, i) =>
                        (IReadOnlyList<string>)
                            [
                                (chart.Bed.MeterFactor * p.Strength_uS_cm).ToString(
                                    "0",
                                    CultureInfo.InvariantCulture
                                ),
                                .. chart.Curves.Select(c =>
                                    double.IsFinite(c.Points[i].Liters)
                                        ? c.Points[i].Liters.ToString("#,0", CultureInfo.InvariantCulture)
                                        : "not reached"
                                ),
                            ]
                )
        );
        terminal.WriteText(LifeChartPicture.HowToRead(chart));
        if (path is not null)
        {
            terminal.WriteText($"Written: {path}");
        }

        terminal.WriteCaution("The figures are estimates; the water is not for drinking.");
        return ExitCode.Done;
    }
}
