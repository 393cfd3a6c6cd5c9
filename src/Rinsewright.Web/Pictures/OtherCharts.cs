using System.Globalization;
using Rinsewright.Drying;
using Rinsewright.Records.Forecasts;
using Rinsewright.Treatment;
using ScottPlot;

namespace Rinsewright.Web.Pictures;

/// <summary>
/// Charts that are of no fill: the drying clock, the trade-off of trains, the pressure along a rig, what a year cost, and how forecasts
/// have fared.
/// </summary>
internal sealed class OtherCharts(Speech speech, Ink ink)
{
    private const int Wide = 440;
    private const int High = 400;
    private const int CalibrationSteps = 20;
    private const double NineInTen = 1.645; // standard deviations
    private const decimal MostDrawn = 3m; // times the yearly bill of the best
    private const double LeastShown_bar = 0.005;
    private const double PsiPerBar = 14.503774;
    private const double LeastWritten = 0.08; // of the whole
    public const int CostHigh = 170;

    /// <summary>Water on the panel and the panel's temperature over the minutes.</summary>
    public string Drying(DryingRun run)
    {
        Plot plot = ink.NewPlot(speech["minutes after the rinse"], speech["water left [g/m²]"]);
        double[] minutes = [.. run.Curve.Select(m => m.Seconds / 60)];
        double[] water = [.. run.Curve.Select(m => 1e3 * m.WaterKilogramsPerSquareMeter)];
        string panel = speech.IsUs ? speech["panel [°F]"] : speech["panel [°C]"];
        double[] degrees =
        [
            .. run
                .Curve.Select(m => m.PanelKelvin - PhysicalConstants.ZeroCelsius)
                .Select(c => speech.IsUs ? (1.8 * c) + 32 : c),
        ];
        var wet = plot.Add.ScatterLine(minutes, water);
        wet.Color = Color.FromHex(ink.Main);
        wet.LineWidth = 3;
        wet.LegendText = speech["water left [g/m²]"];
        var warm = plot.Add.ScatterLine(minutes, degrees);
        warm.Color = Color.FromHex(Ink.Vermilion);
        warm.LineWidth = 3;
        warm.LinePattern = LinePattern.Dashed;
        warm.LegendText = panel;
        warm.Axes.YAxis = plot.Axes.Right;
        plot.Axes.Right.Label.Text = panel;
        plot.Axes.Right.Label.FontSize = 14;
        plot.Axes.Color(Color.FromHex(ink.Text));
        plot.ShowLegend(Edge.Bottom);
        return Ink.ToSvg(plot, Wide, High);
    }

    /// <summary>
    /// Share of the truths in the lower part of their forecasts, against what calibrated forecasts give and how far chance takes
    /// these from it, nine times in ten with so many fills.
    /// </summary>
    public string Calibration(ForecastScores scores)
    {
        Plot plot = ink.NewPlot(speech["lower part of the forecast [%]"], speech["truths in it [%]"]);
        double[] shares =
        [
            .. Enumerable.Range(0, CalibrationSteps + 1).Select(i => (double)i / CalibrationSteps),
        ];
        double Chance(double share) => NineInTen * Math.Sqrt(share * (1 - share) / scores.Fills);
        var band = plot.Add.Polygon([
            .. shares.Select(s => new Coordinates(100 * s, 100 * Math.Max(s - Chance(s), 0))),
            .. shares.Reverse().Select(s => new Coordinates(100 * s, 100 * Math.Min(s + Chance(s), 1))),
        ]);
        band.FillColor = Color.FromHex(ink.Quiet).WithAlpha(60);
        band.LineWidth = 0;
        band.LegendText = speech["by chance, nine times in ten"];
        var even = plot.Add.ScatterLine(new double[] { 0, 100 }, new double[] { 0, 100 });
        even.Color = Color.FromHex(ink.Text);
        even.LinePattern = LinePattern.Dotted;
        even.LineWidth = 2;
        even.LegendText = speech["calibrated"];
        var found = plot.Add.Scatter(
            shares.Select(s => 100 * s).ToArray(),
            shares.Select(s => 100 * (scores.InLower(s) ?? 0)).ToArray()
        );
        found.Color = Color.FromHex(ink.Main);
        found.LineWidth = 3;
        found.MarkerSize = 8;
        found.LegendText = speech["kept forecasts"];
        plot.Axes.SetLimits(0, 100, 0, 100);
        plot.ShowLegend(Edge.Bottom);
        return Ink.ToSvg(plot, Wide, High);
    }

    /// <summary>First cost against yearly bill of the trains that no other beats.</summary>
    public string Front(ChoiceResult result)
    {
        Plot plot = ink.NewPlot(speech["first cost"], speech["cost a year"]);
        TrainChoice[] drawn =
        [
            .. result
                .Front.Where(c => result.Best is not { } best || c.PerYear <= MostDrawn * best.PerYear)
                .OrderBy(c => c.FirstCost),
        ];
        double[] first = [.. drawn.Select(c => (double)c.FirstCost)];
        double[] yearly = [.. drawn.Select(c => (double)c.PerYear)];
        var points = plot.Add.ScatterPoints(first, yearly);
        points.Color = Color.FromHex(ink.Main);
        points.MarkerSize = 10;
        points.LegendText = speech["a train"];
        if (result.Best is { } chosen)
        {
            var best = plot.Add.Marker(
                (double)chosen.FirstCost,
                (double)chosen.PerYear,
                MarkerShape.FilledDiamond,
                18,
                Color.FromHex(Ink.Vermilion)
            );
            best.LegendText = speech["the cheapest over five years"];
        }

        plot.ShowLegend(Edge.Bottom);
        return Ink.ToSvg(plot, Wide, High);
    }

    /// <summary>How high <see cref="Pressure"/> is for so many places.</summary>
    public static int PressureHigh(int places) => 100 + (46 * places);

    /// <summary>What each place from the spigot to the tool is given, as a bar: what goes on, and what is lost there.</summary>
    public string Pressure(FlowSolution solution)
    {
        (string Name, double Before, double Lost)[] places =
        [
            .. solution.Elements.Select(e =>
                (speech.Name(e.Name), e.Inlet.Kilopascals / 100, e.Loss.Kilopascals / 100)
            ),
            (speech.Name(solution.Tool.Name), solution.ToolPressure.Kilopascals / 100, 0),
        ];
        Plot plot = ink.NewPlot(speech.IsUs ? "psi" : "bar", "");
        double most = Math.Max(0.1, places.Max(p => p.Before));
        for (int i = 0; i < places.Length; i++)
        {
            (string name, double before, double lost) = places[i];
            double row = places.Length - i;
            Part(plot, row, 0, before - lost, ink.Main);
            Part(plot, row, before - lost, before, Ink.Orange);
            Write(plot, name, 0, row + 0.22, Alignment.LowerLeft);
            Write(
                plot,
                speech.Pressure(before) + (lost > LeastShown_bar ? $" − {speech.Pressure(lost)}" : ""),
                most,
                row + 0.22,
                Alignment.LowerRight
            );
        }

        plot.Axes.SetLimits(0, most, 0.6, places.Length + 0.85);
        plot.Axes.Left.TickGenerator = new ScottPlot.TickGenerators.EmptyTickGenerator();
        plot.Axes.Bottom.TickGenerator = new ScottPlot.TickGenerators.NumericAutomatic
        {
            LabelFormatter = bars =>
                (speech.IsUs ? PsiPerBar * bars : bars).ToString("0.##", CultureInfo.InvariantCulture),
        };
        plot.HideGrid();
        plot.Legend.ManualItems.Add(Key(ink.Main, speech["what goes on"]));
        plot.Legend.ManualItems.Add(Key(Ink.Orange, speech["what is lost there"]));
        plot.ShowLegend(Edge.Bottom);
        return Ink.ToSvg(plot, Wide, PressureHigh(places.Length));
    }

    /// <summary>What each kind of thing has of the cost of twelve months, in one bar; its shares are written where there is room.</summary>
    public string CostStack(YearOfMoney year)
    {
        Plot plot = ink.NewPlot(year.Currency, "");
        double at = 0;
        for (int i = 0; i < year.Lines.Count; i++)
        {
            double amount = (double)year.Lines[i].Amount;
            string color = Ink.Parts[i % Ink.Parts.Count];
            Part(plot, 0, at, at + amount, color);
            double share = amount / (double)year.Total;
            if (share >= LeastWritten)
            {
                var text = plot.Add.Text(
                    string.Create(CultureInfo.InvariantCulture, $"{share:0 %}"),
                    at + (amount / 2),
                    0
                );
                text.LabelAlignment = Alignment.MiddleCenter;
                text.LabelFontSize = 14;
                text.LabelBold = true;
                text.LabelFontColor = Color.FromHex(Ink.On(color));
            }

            plot.Legend.ManualItems.Add(Key(color, year.Lines[i].What));
            at += amount;
        }

        plot.Axes.SetLimits(0, at, -0.5, 0.5);
        plot.Axes.Left.TickGenerator = new ScottPlot.TickGenerators.EmptyTickGenerator();
        plot.HideGrid();
        plot.ShowLegend(Edge.Bottom);
        return Ink.ToSvg(plot, Wide, CostHigh);
    }

    private static void Part(Plot plot, double row, double from, double to, string color)
    {
        var bar = plot.Add.Bar(
            new Bar
            {
                Position = row,
                ValueBase = from,
                Value = to,
                Size = 0.38,
                FillColor = Color.FromHex(color),
                LineWidth = 0,
            }
        );
        bar.Horizontal = true;
    }

    private void Write(Plot plot, string what, double x, double y, Alignment alignment)
    {
        var text = plot.Add.Text(what, x, y);
        text.LabelAlignment = alignment;
        text.LabelFontSize = 14;
        text.LabelFontColor = Color.FromHex(ink.Text);
    }

    private static LegendItem Key(string color, string text) =>
        new() { LabelText = text, FillColor = Color.FromHex(color) };
}
