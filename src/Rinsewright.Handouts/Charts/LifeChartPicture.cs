using System.Globalization;
using Rinsewright.Handouts.Paper;
using Rinsewright.Quantities;
using ScottPlot;
using ScottPlot.TickGenerators;

namespace Rinsewright.Handouts.Charts;

/// <summary>Draws a life chart so that it is read at arm's length: both scales logarithmic, litres and gallons left, washes right.</summary>
public static class LifeChartPicture
{
    private const int Svg_px = 1400;
    private const float Title_px = 22;
    private const float Text_px = 17;
    private const float Legend_px = 11;
    private const float Symbol_px = 34;
    private static readonly string[] Colors = [Okabe.Blue, Okabe.Vermilion, Okabe.Green, Okabe.Purple];
    private static readonly LinePattern[] Patterns =
    [
        LinePattern.Solid,
        LinePattern.Dashed,
        LinePattern.Dotted,
        LinePattern.DenselyDashed,
    ];
    private static readonly double[] Round = [1, 1.5, 2, 3, 4, 5, 7];

    /// <summary>Writes the sheet as PDF, lying on its long side.</summary>
    public static void WritePdf(Stream stream, LifeChart chart, Sheet sheet) =>
        PdfPaper.Write(
            stream,
            ToPaper(chart, sheet.Landscape),
            sheet.Landscape,
            string.Create(
                CultureInfo.InvariantCulture,
                $"{chart.Bed.History.Rig.Name}, {chart.Bed.At:yyyy-MM-dd}"
            )
        );

    /// <summary>The chart as SVG, in the proportions of the sheet lying on its long side.</summary>
    public static string ToSvg(LifeChart chart, Sheet sheet)
    {
        using Plot plot = Draw(chart);
        plot.Title(TitleOf(chart), Title_px);
        return ChartSvg.Of(
            plot,
            Svg_px,
            (int)(Svg_px * sheet.Landscape.Size.Height / sheet.Landscape.Size.Width)
        );
    }

    /// <summary>The chart as a sheet to print: the drawing, and beneath it how to read it.</summary>
    public static PaperText ToPaper(LifeChart chart, Sheet sheet)
    {
        PdfHeights heights = new(sheet);
        return new PaperText(
            TitleOf(chart),
            [
                new Heading(1, TitleOf(chart)),
                new ChartBlock(Draw(chart), InWords(chart), heights.Chart_pt),
                new Paragraph(HowToRead(chart)),
                new Paragraph(
                    "The figures are estimates: read the meter, and look at the panel. Not drinking water. Relieve the pressure before you open a housing.",
                    IsCaution: true
                ),
            ]
        );
    }

    /// <summary>What it is.</summary>
    public static string TitleOf(LifeChart chart) =>
        $"{chart.Bed.History.Rig.Name}, {chart.Bed.Stage.Name}: how far a fill goes";

    /// <summary>How to read it, in words for the foot of the sheet.</summary>
    public static string HowToRead(LifeChart chart)
    {
        string range =
            chart.Range is { Middle: > 0 } r && double.IsFinite(r.Middle)
                ? string.Create(
                    CultureInfo.InvariantCulture,
                    $" Nine fills in ten lie between {r.Low / r.Middle:0.00} and {r.High / r.Middle:0.00} times the line (bar at today's strength)."
                )
                : "";
        return "Read the raw water, go up to the line of your flow and your change-out, then left for litres and gallons or right for washes."
            + range
            + " Circles are your own fills when they were changed, the open one is in now; ticks at the foot are your readings of the raw water.";
    }

    /// <summary>The drawing alone.</summary>
    public static Plot Draw(LifeChart chart)
    {
        PaperFonts.Use();
        double factor = chart.Bed.MeterFactor;
        var plot = new Plot();
        plot.Font.Set(PaperFonts.Family);
        double[] flows = [.. chart.Curves.Select(c => c.Flow.LitersPerMinute).Distinct()];
        string[] lines = [.. chart.Curves.Select(c => c.Line.Text).Distinct(StringComparer.Ordinal)];
        foreach (LifeCurve curve in chart.Curves)
        {
            LifePoint[] drawn = [.. curve.Points.Where(p => p.Liters > 1 && double.IsFinite(p.Liters))];
            var line = plot.Add.ScatterLine(
                Logarithms(drawn.Select(p => factor * p.Strength_uS_cm)),
                Logarithms(drawn.Select(p => p.Liters)),
                Color.FromHex(Colors[Array.IndexOf(flows, curve.Flow.LitersPerMinute) % Colors.Length])
            );
            line.LineWidth = 4;
            line.LinePattern = Patterns[Array.IndexOf(lines, curve.Line.Text) % Patterns.Length];
            line.LegendText = string.Create(
                CultureInfo.InvariantCulture,
                $"{curve.Flow.LitersPerMinute:0.#} L/min ({curve.Flow.UsGallonsPerMinute:0.#} gpm), to {Shown(curve.Line.Text)}"
            );
        }

        (double Low, double High) x = Span(
            chart.Curves.SelectMany(c => c.Points).Select(p => factor * p.Strength_uS_cm)
        );
        (double Low, double High) y = Span(
            chart
                .Curves.SelectMany(c => c.Points)
                .Select(p => p.Liters)
                .Concat(chart.Fills.Select(f => f.Liters))
        );
        AddRange(plot, chart, factor);
        AddFills(plot, chart, factor);
        AddReadings(plot, chart, factor, x, y);
        Axes(plot, chart, x, y);
        return plot;
    }

    private static void AddRange(Plot plot, LifeChart chart, double factor)
    {
        if (chart.Range is not { Low: > 0 } range || !double.IsFinite(range.High))
        {
            return;
        }

        double at = Math.Log10(factor * chart.Now_uS_cm);
        var bar = plot.Add.ScatterLine(
            new[] { at, at },
            Logarithms([range.Low, range.High]),
            Color.FromHex(Okabe.Black)
        );
        bar.LineWidth = 7;
        bar.LegendText = "nine fills in ten, today's water";
    }

    private static void AddFills(Plot plot, LifeChart chart, double factor)
    {
        foreach (bool changed in (ReadOnlySpan<bool>)[true, false])
        {
            FillPoint[] fills = [.. chart.Fills.Where(f => f.IsChanged == changed)];
            if (fills.Length > 0)
            {
                var points = plot.Add.ScatterPoints(
                    Logarithms(fills.Select(f => factor * f.Strength_uS_cm)),
                    Logarithms(fills.Select(f => f.Liters)),
                    Color.FromHex(Okabe.Black)
                );
                points.MarkerShape = changed ? MarkerShape.FilledCircle : MarkerShape.OpenCircle;
                points.MarkerSize = 13;
                points.MarkerLineWidth = 3;
                points.LegendText = changed ? "your fills, when changed" : "your fill that is in now";
            }
        }
    }

    private static void AddReadings(
        Plot plot,
        LifeChart chart,
        double factor,
        (double Low, double High) x,
        (double Low, double High) y
    )
    {
        double foot = Math.Log10(y.Low);
        double tick = 0.03 * (Math.Log10(y.High) - foot);
        bool isNamed = false;
        foreach (double reading in chart.Readings_uS_cm.Select(r => factor * r))
        {
            if (reading >= x.Low && reading <= x.High)
            {
                double at = Math.Log10(reading);
                var mark = plot.Add.Line(at, foot, at, foot + tick);
                mark.Color = Color.FromHex(Okabe.Green);
                mark.LineWidth = 2;
                mark.LegendText = isNamed ? "" : "your readings of the raw water";
                isNamed = true;
            }
        }
    }

    private static void Axes(
        Plot plot,
        LifeChart chart,
        (double Low, double High) x,
        (double Low, double High) y
    )
    {
        double[] strengths = [.. RoundBetween(x.Low, x.High)];
        plot.Axes.Bottom.TickGenerator = new NumericManual(
            [.. strengths.Select(Math.Log10)],
            [.. strengths.Select(s => s.ToString("0.##", CultureInfo.InvariantCulture))]
        );
        double[] liters = [.. RoundBetween(y.Low, y.High)];
        plot.Axes.Left.TickGenerator = new NumericManual(
            [.. liters.Select(Math.Log10)],
            [
                .. liters.Select(l =>
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{l:#,0} L · {Two(Volume.FromLiters(l).UsGallons):#,0} gal"
                    )
                ),
            ]
        );
        plot.Axes.SetLimits(Math.Log10(x.Low), Math.Log10(x.High), Math.Log10(y.Low), Math.Log10(y.High));
        if (chart.Bed.PerWash_L is { } wash)
        {
            double[] washes = [.. RoundBetween(y.Low / wash, y.High / wash)];
            plot.Axes.Right.TickGenerator = new NumericManual(
                [.. washes.Select(w => Math.Log10(w * wash))],
                [.. washes.Select(w => w.ToString("0.##", CultureInfo.InvariantCulture))]
            );
            plot.Axes.Right.Label.Text = string.Create(CultureInfo.InvariantCulture, $"washes of {wash:0} L");
            plot.Axes.Right.Label.FontSize = Text_px;
            plot.Axes.Right.TickLabelStyle.FontSize = Text_px;
            plot.Axes.SetLimitsY(Math.Log10(y.Low), Math.Log10(y.High), plot.Axes.Right);
            plot.Axes.Right.MinimumSize = 70;
        }

        plot.Axes.Bottom.Label.Text = string.Create(
            CultureInfo.InvariantCulture,
            $"raw water on the meter, ppm (factor {chart.Bed.MeterFactor:0.##})"
        );
        plot.Axes.Bottom.Label.FontSize = Text_px;
        plot.Axes.Bottom.TickLabelStyle.FontSize = Text_px;
        plot.Axes.Left.TickLabelStyle.FontSize = Text_px - 2;
        plot.Grid.MajorLineColor = Color.FromHex("#b0b8bd");
        plot.Legend.FontSize = Legend_px;
        plot.Legend.SymbolWidth = Symbol_px;
        plot.Legend.OutlineColor = Color.FromHex("#b0b8bd");
        plot.Legend.ShadowColor = ScottPlot.Colors.Transparent;
        plot.Legend.Orientation = Orientation.Horizontal;
        plot.Legend.TightHorizontalWrapping = true;
        plot.ShowLegend(Edge.Bottom);
    }

    private static string InWords(LifeChart chart)
    {
        LifeCurve first = chart.Curves[0];
        LifePoint now = first.Points[first.Points.Length / 2];
        string gives = double.IsFinite(now.Liters)
            ? string.Create(CultureInfo.InvariantCulture, $"a fill gives about {now.Liters:#,0} litres")
            : "the line is not reached within what was computed";
        return string.Create(
            CultureInfo.InvariantCulture,
            $"Litres to {Shown(first.Line.Text)} against the strength of the raw water, for {chart.Curves.Length} combinations of flow and change-out line. At {chart.Bed.MeterFactor * now.Strength_uS_cm:0} ppm and {first.Flow.LitersPerMinute:0.#} L/min {gives}."
        );
    }

    private static string Shown(string line) => line.Replace("uS/cm", "µS/cm", StringComparison.Ordinal);

    private static double[] Logarithms(IEnumerable<double> values) => [.. values.Select(Math.Log10)];

    private static double Two(double value)
    {
        double step = Math.Pow(10, Math.Floor(Math.Log10(value)) - 1);
        return Math.Round(value / step) * step;
    }

    private static (double Low, double High) Span(IEnumerable<double> values)
    {
        double[] drawn = [.. values.Where(v => v > 1 && double.IsFinite(v))];
        return drawn.Length > 0 ? (drawn.Min() / 1.1, drawn.Max() * 1.1) : (1, 10);
    }

    private static IEnumerable<double> RoundBetween(double low, double high)
    {
        bool isWide = high / low > 60;
        for (int decade = -1; decade < 8; decade++)
        {
            foreach (double digit in Round.Where(d => !isWide || d is 1 or 2 or 5))
            {
                double value = digit * Math.Pow(10, decade);
                if (value >= low && value <= high)
                {
                    yield return value;
                }
            }
        }
    }

    /// <summary>Room that the sheet leaves for the drawing beneath its title and above three lines of text.</summary>
    private sealed record PdfHeights(Sheet Sheet)
    {
        private const double Besides_pt = 185;

        public double Chart_pt => Sheet.Size.Height - Besides_pt;
    }
}
