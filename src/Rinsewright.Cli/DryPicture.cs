using System.Text;
using Rinsewright.Drying;
using ScottPlot;

namespace Rinsewright.Cli;

/// <summary>The drying clock, drawn into a file: water left and panel temperature against minutes.</summary>
internal static class DryPicture
{
    private const int Width = 900;
    private const int Height = 540;

    public static bool CanWrite(string path) =>
        Path.GetExtension(path).ToLowerInvariant() is ".svg" or ".png";

    public static void Write(Stream stream, string path, DryReport report)
    {
        using Plot plot = Clock(report);
        bool vector = string.Equals(Path.GetExtension(path), ".svg", StringComparison.OrdinalIgnoreCase);
        stream.Write(
            vector
                ? Encoding.UTF8.GetBytes(plot.GetSvgXml(Width, Height))
                : plot.GetImageBytes(Width, Height, ImageFormat.Png)
        );
    }

    private static Plot Clock(DryReport report)
    {
        IReadOnlyList<DryingMoment> curve = report.Outlook.Central.Curve;
        double[] minutes = [.. curve.Select(m => m.Seconds / 60)];
        var plot = new Plot();
        var water = plot.Add.ScatterLine(
            minutes,
            [.. curve.Select(m => 1000 * m.WaterKilogramsPerSquareMeter)],
            Ink(Palette.Blue)
        );
        water.LineWidth = 3;
        water.LegendText = "water left, g/m²";
        var panel = plot.Add.ScatterLine(
            minutes,
            [.. curve.Select(m => m.PanelKelvin - PhysicalConstants.ZeroCelsius)],
            Ink(Palette.Vermilion)
        );
        panel.LineWidth = 3;
        panel.LinePattern = LinePattern.Dashed;
        panel.LegendText = "panel temperature, °C (right)";
        panel.Axes.YAxis = plot.Axes.Right;
        var towel = plot.Add.VerticalLine(report.Outlook.Wait.TotalMinutes, 2, Ink(Palette.BluishGreen));
        towel.LinePattern = LinePattern.Dotted;
        towel.LegendText = "the towel comes at the latest";
        plot.Axes.Left.Label.Text = "water left, g/m²";
        plot.Axes.Right.Label.Text = "panel temperature, °C";
        plot.Axes.Bottom.Label.Text = "minutes since the rinse";
        plot.Title("Drying clock");
        plot.ShowLegend(Alignment.UpperRight);
        plot.Axes.AutoScale();
        return plot;
    }

    private static Color Ink(Spectre.Console.Color color) => new(color.R, color.G, color.B);
}
