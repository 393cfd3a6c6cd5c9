using Rinsewright.Drying;
using Rinsewright.Records.Forecasts;
using Rinsewright.Treatment;
using ScottPlot;

namespace Rinsewright.Web.Pictures;

/// <summary>Charts that are of no fill: the drying clock, the trade-off of trains, and how forecasts have fared.</summary>
internal sealed class OtherCharts(Speech speech, Ink ink)
{
    private const int Wide = 440;
    private const int High = 400;
    private const int CalibrationSteps = 20;
    private const double NineInTen = 1.645; // standard deviations
    private const decimal MostDrawn = 3m; // times the yearly bill of the best

    /// <summary>Water on the panel and the panel's temperature over the minutes.</summary>
    public string Drying(DryingRun run)
    {
        Plot plot = ink.NewPlot(speech["minutes after the rinse"], speech["water left [g/m²]"]);
        double[] minutes = [.. run.Curve.Select(m => m.Seconds / 60)];
        double[] water = [.. run.Curve.Select(m => 1e3 * m.WaterKilogramsPerSquareMeter)];
        double[] celsius = [.. run.Curve.Select(m => m.PanelKelvin - PhysicalConstants.ZeroCelsius)];
        var wet = plot.Add.ScatterLine(minutes, water);
        wet.Color = Color.FromHex(ink.Main);
        wet.LineWidth = 3;
        wet.LegendText = speech["water left [g/m²]"];
        var warm = plot.Add.ScatterLine(minutes, celsius);
        warm.Color = Color.FromHex(Ink.Vermilion);
        warm.LineWidth = 3;
        warm.LinePattern = LinePattern.Dashed;
        warm.LegendText = speech["panel [°C]"];
        warm.Axes.YAxis = plot.Axes.Right;
        plot.Axes.Right.Label.Text = speech["panel [°C]"];
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
}
