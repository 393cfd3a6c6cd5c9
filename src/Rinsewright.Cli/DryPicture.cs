using System.Globalization;
using System.Text;
using Rinsewright.Drying;
using ScottPlot;

namespace Rinsewright.Cli;

/// <summary>Pictures of a drying panel: its clock, and what the water lays down.</summary>
internal static class DryPicture
{
    private const int Width = 900;
    private const int Height = 540;

    /// <summary>Draws the drying clock.</summary>
    public static void WriteClock(Stream stream, string path, DryReport report)
    {
        using Plot plot = Clock(report);
        Write(stream, path, plot);
    }

    /// <summary>Draws what is laid down against the concentration factor.</summary>
    public static void WriteResidue(Stream stream, string path, DryResidue residue)
    {
        using Plot plot = Residue(residue.Dried);
        Write(stream, path, plot);
    }

    private static void Write(Stream stream, string path, Plot plot)
    {
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

    private static Plot Residue(DryDown dried)
    {
        var plot = new Plot();
        double[] decades = [.. dried.Path.Select(m => Math.Log10(m.Factor))];
        double end = (decades.Length > 0 ? decades[^1] : 0) + 0.5;
        (ResidueSolid Solid, Func<DryDownMoment, double> Moles, LinePattern Pattern)[] followed =
        [
            (ResidueSolid.Calcite, m => m.Calcite, LinePattern.Solid),
            (ResidueSolid.Gypsum, m => m.Gypsum, LinePattern.Dashed),
            (ResidueSolid.Silica, m => m.Silica, LinePattern.Dotted),
        ];
        for (int i = 0; i < followed.Length; i++)
        {
            (ResidueSolid solid, Func<DryDownMoment, double> moles, LinePattern pattern) = followed[i];
            double last = dried.Residue.Where(r => r.Solid == solid).Sum(r => r.MilligramsPerLiter);
            Line(
                plot,
                [.. decades, end],
                [.. dried.Path.Select(m => moles(m) * solid.MolarMassGramsPerMole), last],
                Palette.Series[i],
                pattern,
                $"{solid.Name}, mg/L"
            );
        }

        double others = dried
            .Residue.Where(r => followed.All(f => f.Solid != r.Solid))
            .Sum(r => r.MilligramsPerLiter);
        Line(
            plot,
            [decades.Length > 0 ? decades[^1] : 0, end],
            [0, others],
            Palette.Series[followed.Length],
            LinePattern.DenselyDashed,
            "all other salts, mg/L, beyond the reach of the activity model"
        );
        double[] ticks = [.. Enumerable.Range(0, 20).Select(d => (double)d).Where(d => d < end - 0.3), end];
        plot.Axes.Bottom.TickGenerator = new ScottPlot.TickGenerators.NumericManual(
            ticks,
            [
                .. ticks.Select(t =>
                    t == end ? "dry" : $"{Math.Pow(10, t).ToString("0", CultureInfo.InvariantCulture)} ×"
                ),
            ]
        );
        plot.Axes.Left.Label.Text = "laid down, mg per litre of water";
        plot.Axes.Bottom.Label.Text = "how far the water has shrunk";
        plot.Title("What dries");
        plot.ShowLegend(Alignment.MiddleLeft);
        plot.Axes.AutoScale();
        return plot;
    }

    private static void Line(
        Plot plot,
        double[] x,
        double[] y,
        Spectre.Console.Color color,
        LinePattern pattern,
        string legend
    )
    {
        var line = plot.Add.ScatterLine(x, y, Ink(color));
        line.LineWidth = 3;
        line.LinePattern = pattern;
        line.LegendText = legend;
    }

    private static Color Ink(Spectre.Console.Color color) => new(color.R, color.G, color.B);
}
