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
        SettleLayout(plot, width_px, height_px);
        return FontFamily().Replace(plot.GetSvgXml(width_px, height_px), Families);
    }

    /// <summary>
    /// Draws it once for nothing: a first drawing that changes the layout is drawn over on the same canvas, and its text would stay
    /// beneath.
    /// </summary>
    internal static void SettleLayout(Plot plot, int width_px, int height_px) =>
        plot.RenderInMemory(width_px, height_px);

    [GeneratedRegex("font-family=\"[^\"]*\"", RegexOptions.None, 1000)]
    private static partial Regex FontFamily();
}
