using System.Text.RegularExpressions;
using ScottPlot;

namespace Rinsewright.Handouts.Paper;

/// <summary>Charts as SVG whose text any machine can show.</summary>
public static partial class ChartSvg
{
    private const string Families = "font-family=\"DejaVu Sans, Verdana, sans-serif\"";

    /// <summary>The chart; the font it was measured with first, then one as wide.</summary>
    public static string Of(Plot plot, int width_px, int height_px)
    {
        PaperFonts.Use();
        return FontFamily().Replace(plot.GetSvgXml(width_px, height_px), Families);
    }

    [GeneratedRegex("font-family=\"[^\"]*\"", RegexOptions.None, 1000)]
    private static partial Regex FontFamily();
}
