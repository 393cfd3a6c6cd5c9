using System.Text;
using Rinsewright.Treatment;
using ScottPlot;

namespace Rinsewright.Cli;

/// <summary>The curves of a run as an SVG picture.</summary>
internal static class BedPlot
{
    private const int Width = 900;
    private const int Height = 430;

    public static void Write(string path, BedInput input, EffluentReport report)
    {
        using var plot = new Plot();
        double[] liters = [.. report.Samples.Select(s => s.Liters)];
        (string Name, Func<EffluentSample, double> Value, LinePattern Pattern)[] curves =
        [
            ("meter [ppm]", s => s.ValueFor(LineKind.MeterReading, input.MeterFactor), LinePattern.Solid),
            ("silica [mg/L]", s => s.Silica, LinePattern.Dashed),
            ("residue on drying [mg/L]", s => s.Residue, LinePattern.Dotted),
        ];
        for (int i = 0; i < curves.Length; i++)
        {
            var line = plot.Add.ScatterLine(liters, [.. report.Samples.Select(curves[i].Value)]);
            line.LegendText = curves[i].Name;
            line.LineWidth = 2.5f;
            line.LinePattern = curves[i].Pattern;
            Spectre.Console.Color color = Palette.Series[i];
            line.Color = new Color(color.R, color.G, color.B);
        }

        plot.XLabel("litres through the beds");
        plot.YLabel("in the water that leaves");
        plot.Title(
            FormattableString.Invariant(
                $"{input.Rig.Name}: {input.WaterName}, {input.Flow.LitersPerMinute:0.#} L/min"
            )
        );
        plot.Axes.SetLimits(bottom: 0);
        plot.ShowLegend(Alignment.UpperLeft);
        byte[] svg = Encoding.UTF8.GetBytes(plot.GetSvgXml(Width, Height).ReplaceLineEndings("\n"));
        OutputFile.Replace(path, stream => stream.Write(svg));
    }
}
