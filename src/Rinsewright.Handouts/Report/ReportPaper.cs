using System.Globalization;
using Rinsewright.Handouts.Charts;
using Rinsewright.Handouts.Paper;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Trust;
using Rinsewright.Treatment;
using ScottPlot;

namespace Rinsewright.Handouts.Report;

/// <summary>Puts a report on paper: words before figures, figures before charts, the long tables last.</summary>
public static class ReportPaper
{
    private const int MostReadings = 300;
    private const double Chart_pt = 300;
    private const float Text_px = 13;

    public static PaperText Of(RigReport report)
    {
        string title =
            $"{report.History.Rig.Name}: {Day(report, report.From)} to {Day(report, report.To.AddTicks(-1))}";
        List<Block> blocks =
        [
            new Heading(1, title),
            new Paragraph(
                "What the record says of this rig over the period. Figures with a range hold nine times in ten; all are estimates."
            ),
            new Heading(2, "In short"),
            Short(report),
            new Heading(2, "Where it stands"),
            new Paragraph(Standing(report)),
            .. report.Now is null ? [] : report.Now.Remarks.Select(r => new Paragraph(r.ToString())),
            new Heading(2, "Readings over time"),
            .. report.Readings.Count > 1
                ? (IEnumerable<Block>)[new ChartBlock(Draw(report), ChartInWords(report), Chart_pt)]
                : [],
            new Heading(2, "Fills"),
            Fills(report),
            new Heading(2, "What was forecast, and what came"),
            new Paragraph(
                "For each of the last fills the forecast that was kept nearest its middle, beside what was drawn from then until the outlet was seen past the line. Where none was kept it is made again from what had been written by then."
            ),
            Then(report),
            new Heading(2, "Costs"),
            Costs(report),
            new Heading(2, "What was changed, and why"),
            report.Changes.Any() ? Changes(report) : new Paragraph("Nothing in this period."),
            new Heading(2, "How sure the meters are"),
            Meters(report),
            new Heading(2, "Readings"),
            .. Readings(report),
            new Heading(2, "Cautions"),
            .. CautionTexts.All.Select(c => new Paragraph(c, IsCaution: true)),
        ];
        return new PaperText(title, blocks);
    }

    private static PaperTable Short(RigReport report)
    {
        int doubtful = report.Readings.Count(r => r.Remarks.Count > 0);
        double[] source = [.. Conductances(report, Place.Source)];
        return new PaperTable(
            ["figure", "value"],
            [
                [
                    "water drawn",
                    $"{Liters(report.Drawn_L)} ({Number(Volume.FromLiters(report.Drawn_L).UsGallons)} US gal)",
                ],
                ["washes written down", Number(report.Washes)],
                ["change-outs", Number(report.Fills.Count(f => report.IsIn(f.Fill.Fill.PutInAt)))],
                [
                    "strength readings",
                    $"{Number(report.Readings.Count)}, {Number(doubtful)} of them doubtful",
                ],
                [
                    "raw water, corrected",
                    source.Length == 0
                        ? "not read"
                        : $"{Number(source[source.Length / 2])} µS/cm at 25 °C ({Number(source[0])} to {Number(source[^1])})",
                ],
                [
                    "cost",
                    string.Join(", ", Totals(report)) is { Length: > 0 } sum ? sum : "nothing written down",
                ],
                ["change-out line", report.Line is { } at ? Shown(at) : "none"],
            ],
            FirstNumber: 2
        );
    }

    private static string Standing(RigReport report)
    {
        if (report is not { Now: { } now, Line: { } line })
        {
            return "Too little is written down for a forecast: the bed with its volume, a fill with its date, and a reading of the raw water.";
        }

        var left = now.Answers.To(line, RigBed.MeterFactorOf(report.History));
        string range = OpenRange.Of(left.Liters.P05, left.Liters.P95, Number);
        return left.PassedNow > 0.5
                ? $"{now.Stage.Stage.Name} is past {Shown(line)} with a probability of {Number(100 * left.PassedNow)} %: change it."
            : !double.IsFinite(left.Liters.Median)
                ? $"{now.Stage.Stage.Name}: {Shown(line)} is not reached within what was computed ({range} L left)."
            : $"{now.Stage.Stage.Name}: about {Liters(left.Liters.Median)} are left to {Shown(line)} ({range} L), {Weeks(left.Weeks.Median)} weeks ({Weeks(left.Weeks.P05)} to {Weeks(left.Weeks.P95)}).";
    }

    private static PaperTable Fills(RigReport report) =>
        new(
            ["stage", "medium", "put in", "taken out", "water through it [L]"],
            [
                .. report.Fills.Select(f =>
                    (IReadOnlyList<string>)
                        [
                            f.Stage.Stage.Name,
                            f.Fill.Fill.Medium,
                            Day(report, f.Fill.Fill.PutInAt),
                            f.Fill.Fill.TakenOutAt is { } gone && gone < report.To
                                ? Day(report, gone)
                                : "still in",
                            Number(1e3 * f.Fill.Drawn_m3),
                        ]
                ),
            ],
            FirstNumber: 4
        );

    private static PaperTable Then(RigReport report) =>
        new(
            ["day", "bed", "forecast", "what was left [L]", "came [L]", "in the range"],
            [
                .. report.Then.Select(t =>
                    (IReadOnlyList<string>)
                        [
                            Day(report, t.At),
                            t.Stage,
                            t.IsKept ? "kept" : "made again",
                            $"{Number(t.Left_L.Median)} ({OpenRange.Of(t.Left_L.P05, t.Left_L.P95, Number)})",
                            t.IsPassed ? Number(t.Drawn_L) : $"more than {Number(t.Drawn_L)}",
                            t.Held switch
                            {
                                true => "yes",
                                false => "no",
                                _ => "not yet known",
                            },
                        ]
                ),
            ],
            FirstNumber: 6
        );

    private static PaperTable Costs(RigReport report) =>
        new(
            ["for", "amount"],
            [
                .. report.Costs.Select(c =>
                    (IReadOnlyList<string>)
                        [c.What, $"{c.Amount.ToString("F2", CultureInfo.InvariantCulture)} {c.Currency}"]
                ),
                .. Totals(report).Select(t => (IReadOnlyList<string>)["together", t]),
                .. report.Washes > 0
                    ? report
                        .Costs.GroupBy(c => c.Currency, StringComparer.Ordinal)
                        .Select(g =>
                            (IReadOnlyList<string>)
                                [
                                    "a wash",
                                    $"{(g.Sum(c => c.Amount) / report.Washes).ToString("F2", CultureInfo.InvariantCulture)} {g.Key}",
                                ]
                        )
                    : [],
            ],
            FirstNumber: 1
        );

    private static PaperTable Changes(RigReport report) =>
        new(
            ["day", "what", "by", "why"],
            [.. report.Changes.Select(c => (IReadOnlyList<string>)[Day(report, c.At), c.What, c.By, c.Why])],
            FirstNumber: 4
        );

    private static PaperTable Meters(RigReport report) =>
        new(
            ["meter", "how far it can be believed", "what to do"],
            [
                .. report
                    .Readings.Select(r => r.Reading.MeterId)
                    .OfType<Id<Meter>>()
                    .Distinct()
                    .Select(id => report.History.Meters[id])
                    .Select(m => (m.Meter!.Name, Verdict: m.Verdict(report.To)))
                    .Select(m => (IReadOnlyList<string>)[m.Name, $"{m.Verdict.Says}", $"{m.Verdict.Advice}"]),
            ],
            FirstNumber: 3
        );

    private static IEnumerable<Block> Readings(RigReport report)
    {
        if (report.Readings.Count > MostReadings)
        {
            yield return new Paragraph(
                $"The last {Number(MostReadings)} of {Number(report.Readings.Count)}; rinsewright export gives all."
            );
        }

        yield return new PaperTable(
            ["day", "where", "remarks", "as read", "true conductance [µS/cm]"],
            [
                .. report
                    .Readings.TakeLast(MostReadings)
                    .Select(r =>
                        (IReadOnlyList<string>)
                            [
                                Day(report, r.Reading.At),
                                Where(report, r.Reading),
                                string.Join(" ", r.Remarks.Select(m => m.Reason)),
                                $"{r.Reading.Written} {r.Reading.Unit}",
                                Uncertain(r.Corrected!),
                            ]
                    ),
            ],
            FirstNumber: 3
        );
    }

    private static Plot Draw(RigReport report)
    {
        PaperFonts.Use();
        var plot = new Plot();
        plot.Font.Set(PaperFonts.Family);
        (Place Place, string Legend, string Color, MarkerShape Shape)[] series =
        [
            (Place.Source, "raw water", Okabe.Orange, MarkerShape.FilledDiamond),
            (Place.Outlet, "behind the last bed", Okabe.Blue, MarkerShape.FilledCircle),
        ];
        foreach ((Place place, string legend, string color, MarkerShape shape) in series)
        {
            TrustedReading[] read =
            [
                .. At(report, place).Where(r => r.Corrected!.Conductance_uS_cm.Mean > 0),
            ];
            if (read.Length > 0)
            {
                double[] days = [.. read.Select(r => r.Reading.At.UtcDateTime.ToOADate())];
                double[] values = [.. read.Select(r => Math.Log10(r.Corrected!.Conductance_uS_cm.Mean))];
                var points = plot.Add.ScatterPoints(days, values, Color.FromHex(color));
                points.MarkerShape = shape;
                points.MarkerSize = 6;
                points.LegendText = legend;
            }
        }

        if (report.Line_uS_cm is { } line)
        {
            var drawn = plot.Add.HorizontalLine(
                Math.Log10(line),
                2,
                Color.FromHex(Okabe.Vermilion),
                LinePattern.Dashed
            );
            drawn.LegendText = "change-out line";
        }

        foreach (
            DateTimeOffset changed in report
                .History.Polisher?.Fills.Select(f => f.Fill.PutInAt)
                .Where(report.IsIn)
                ?? []
        )
        {
            plot.Add.VerticalLine(
                changed.UtcDateTime.ToOADate(),
                1,
                Color.FromHex(Okabe.Green),
                LinePattern.Dotted
            );
        }

        plot.Axes.Bottom.TickGenerator = new ScottPlot.TickGenerators.DateTimeAutomatic
        {
            LabelFormatter = day => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture),
        };
        plot.Axes.AutoScale();
        plot.Axes.SetLimitsY(Math.Min(0, plot.Axes.GetLimits().Bottom), plot.Axes.GetLimits().Top + 0.7);
        double[] decades = [-1, 0, 1, 2, 3, 4];
        plot.Axes.Left.TickGenerator = new ScottPlot.TickGenerators.NumericManual(
            decades,
            [.. decades.Select(d => Math.Pow(10, d).ToString("0.##", CultureInfo.InvariantCulture))]
        );
        plot.Axes.Left.Label.Text = "conductance, µS/cm";
        plot.Axes.Left.Label.FontSize = Text_px;
        plot.Axes.Left.TickLabelStyle.FontSize = Text_px;
        plot.Axes.Bottom.TickLabelStyle.FontSize = Text_px - 2;
        plot.Legend.FontSize = Text_px;
        plot.Legend.ShadowColor = Colors.Transparent;
        plot.Legend.Orientation = Orientation.Horizontal;
        plot.Legend.TightHorizontalWrapping = true;
        plot.ShowLegend(Edge.Bottom);
        return plot;
    }

    private static string ChartInWords(RigReport report)
    {
        double[] outlet = [.. Conductances(report, Place.Outlet)];
        return outlet.Length == 0
            ? "Corrected readings of the raw water over the period; none behind the last bed."
            : $"Corrected readings over the period. Behind the last bed {Number(outlet[0])} to {Number(outlet[^1])} µS/cm, half of them below {Number(outlet[outlet.Length / 2])}. Dotted lines are change-outs.";
    }

    private static IEnumerable<TrustedReading> At(RigReport report, Place place) =>
        report.Readings.Where(r =>
            r.Reading.Place == place
            && (place is not Place.Outlet || r.Reading.StageId == report.History.Polisher?.Stage.Id)
        );

    private static IEnumerable<double> Conductances(RigReport report, Place place) =>
        At(report, place).Select(r => r.Corrected!.Conductance_uS_cm.Mean).Order();

    private static IEnumerable<string> Totals(RigReport report) =>
        report
            .Costs.GroupBy(c => c.Currency, StringComparer.Ordinal)
            .Select(g => $"{g.Sum(c => c.Amount).ToString("F2", CultureInfo.InvariantCulture)} {g.Key}");

    private static string Where(RigReport report, Reading reading)
    {
        string? stage = report.History.Stages.FirstOrDefault(s => s.Stage.Id == reading.StageId)?.Stage.Name;
        return reading.Place switch
        {
            Place.Source => "raw water",
            Place.Inlet => $"before {stage}",
            Place.Outlet => $"behind {stage}",
            _ => "nozzle",
        };
    }

    private static string Uncertain(CorrectedReading corrected) =>
        corrected.Conductance_uS_cm.Mean <= 0
            ? $"below {Number(2 * corrected.Conductance_uS_cm.StandardDeviation)}"
            : $"{Number(corrected.Conductance_uS_cm.Mean)} ± {Number(corrected.Conductance_uS_cm.StandardDeviation)}";

    private static string Shown(ChangeOutLine line) =>
        line.Text.Replace("uS", "µS", StringComparison.Ordinal);

    private static string Liters(double liters) => $"{Number(liters)} L";

    private static string Weeks(double weeks) =>
        weeks < 520 ? weeks.ToString("0.#", CultureInfo.InvariantCulture) : "more than 520";

    private static string Number(double value) =>
        double.IsFinite(value)
            ? value.ToString(Math.Abs(value) < 10 ? "0.##" : "#,0", CultureInfo.InvariantCulture)
            : OpenRange.Beyond;

    private static string Day(RigReport report, DateTimeOffset at) =>
        TimeZoneInfo
            .ConvertTime(at, report.History.Zone)
            .ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
}
