using ScottPlot;
using ScottPlot.TickGenerators;

namespace Rinsewright.Compare;

/// <summary>A named line of points.</summary>
internal sealed record Series(string Name, double[] X, double[] Y);

/// <summary>Log–log charts as SVG. Colours of Okabe and Ito; every series has a marker of its own as well.</summary>
internal static class Charts
{
    private static readonly Color[] Colors =
    [
        Color.FromHex("#0072B2"),
        Color.FromHex("#D55E00"),
        Color.FromHex("#009E73"),
        Color.FromHex("#CC79A7"),
        Color.FromHex("#E69F00"),
        Color.FromHex("#56B4E9"),
    ];

    private static readonly MarkerShape[] Markers =
    [
        MarkerShape.FilledCircle,
        MarkerShape.FilledSquare,
        MarkerShape.FilledTriangleUp,
        MarkerShape.FilledDiamond,
        MarkerShape.OpenCircle,
        MarkerShape.OpenSquare,
    ];

    /// <summary>Draws the series and saves them.</summary>
    /// <param name="file">The SVG to write.</param>
    /// <param name="title">What is seen.</param>
    /// <param name="x">Name and unit of the horizontal axis.</param>
    /// <param name="y">Name and unit of the vertical axis.</param>
    /// <param name="drawnSeries">The lines.</param>
    /// <param name="level">A horizontal line to mark, if any.</param>
    public static void LogLog(
        string file,
        string title,
        string x,
        string y,
        IReadOnlyCollection<Series> drawnSeries,
        (double Value, string Name)? level = null
    )
    {
        using var plot = new Plot();
        int n = 0;
        foreach (Series line in drawnSeries)
        {
            var drawn = plot.Add.Scatter(
                line.X.Select(Math.Log10).ToArray(),
                line.Y.Select(Math.Log10).ToArray()
            );
            drawn.LegendText = line.Name;
            drawn.Color = Colors[n % Colors.Length];
            drawn.MarkerShape = Markers[n % Markers.Length];
            drawn.MarkerSize = 8;
            drawn.LineWidth = 2;
            n++;
        }

        if (level is { } mark)
        {
            var line = plot.Add.HorizontalLine(Math.Log10(mark.Value));
            line.Color = ScottPlot.Colors.Black;
            line.LinePattern = LinePattern.Dashed;
            line.LegendText = mark.Name;
        }

        plot.Axes.Bottom.TickGenerator = LogTicks(drawnSeries.SelectMany(s => s.X));
        plot.Axes.Left.TickGenerator = LogTicks(drawnSeries.SelectMany(s => s.Y));
        plot.Title(title);
        plot.XLabel(x);
        plot.YLabel(y);
        plot.ShowLegend(Alignment.UpperRight);
        plot.SaveSvg(file, 900, 560);
    }

    /// <summary>Ticks at 1, 2 and 5 times the powers of ten that the values span.</summary>
    private static NumericManual LogTicks(IEnumerable<double> values)
    {
        double[] all = [.. values];
        var ticks = new NumericManual();
        for (
            double decade = Math.Floor(Math.Log10(all.Min()));
            decade <= Math.Ceiling(Math.Log10(all.Max()));
            decade++
        )
        {
            foreach (int step in (ReadOnlySpan<int>)[1, 2, 5])
            {
                double value = step * Math.Pow(10, decade);
                ticks.AddMajor(Math.Log10(value), Report.Invariant($"{value:0.######}"));
            }
        }

        return ticks;
    }
}
