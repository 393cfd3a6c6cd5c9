using System.Text.RegularExpressions;
using ScottPlot;

namespace Rinsewright.Web.Pictures;

/// <summary>Colours of the pictures: the palette of Okabe and Ito (key <c>okabe2008</c>) on light or dark paper.</summary>
internal sealed partial record Ink(string Paper, string Text, string Quiet, string Line)
{
    public const string Blue = "#0072b2";
    public const string Sky = "#56b4e9";
    public const string Green = "#009e73";
    public const string Yellow = "#f0e442";
    public const string Orange = "#e69f00";
    public const string Vermilion = "#d55e00";
    public const string Purple = "#cc79a7";

    /// <summary>The colours of parts of a whole, in their order.</summary>
    public static readonly IReadOnlyList<string> Parts = [Blue, Orange, Green, Vermilion, Purple, Sky];

    public static Ink Of(bool dark) =>
        dark
            ? new("#18232b", "#f2f6f8", "#c3ced5", "#44545f")
            : new("#ffffff", "#10202c", "#3f4d57", "#c3ccd1");

    /// <summary>A blue that can be told from the paper.</summary>
    public string Main => Paper is "#ffffff" ? Blue : Sky;

    /// <summary>Of dark and light the one that is better read on a colour.</summary>
    public static string On(string color) => color is Blue ? "#ffffff" : "#10202c";

    /// <summary>A chart as SVG, its text in the fonts of the pages.</summary>
    public static string ToSvg(Plot plot, int wide, int high) =>
        FontFamily().Replace(plot.GetSvgXml(wide, high), "font-family=\"system-ui, sans-serif\"");

    [GeneratedRegex("font-family=\"[^\"]*\"", RegexOptions.None, 1000)]
    private static partial Regex FontFamily();

    /// <summary>An empty chart in these colours, with text that a phone still shows large enough.</summary>
    public Plot NewPlot(string x, string y)
    {
        var plot = new Plot();
        plot.FigureBackground.Color = Color.FromHex(Paper);
        plot.DataBackground.Color = Color.FromHex(Paper);
        plot.Axes.Color(Color.FromHex(Text));
        plot.Grid.MajorLineColor = Color.FromHex(Line);
        plot.Legend.BackgroundColor = Color.FromHex(Paper);
        plot.Legend.FontColor = Color.FromHex(Text);
        plot.Legend.OutlineColor = Color.FromHex(Line);
        plot.Legend.FontSize = 13;
        plot.Legend.Orientation = Orientation.Horizontal;
        plot.Legend.ShadowColor = Colors.Transparent;
        plot.XLabel(x, 14);
        plot.YLabel(y, 14);
        plot.Axes.Bottom.TickLabelStyle.FontSize = 13;
        plot.Axes.Left.TickLabelStyle.FontSize = 13;
        return plot;
    }
}
