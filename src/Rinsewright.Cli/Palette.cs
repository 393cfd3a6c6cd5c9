using Spectre.Console;

namespace Rinsewright.Cli;

/// <summary>The colour-blind-safe palette of Okabe and Ito (key <c>okabe2008</c>).</summary>
internal static class Palette
{
    public static readonly Color Orange = new(230, 159, 0);
    public static readonly Color SkyBlue = new(86, 180, 233);
    public static readonly Color BluishGreen = new(0, 158, 115);
    public static readonly Color Yellow = new(240, 228, 66);
    public static readonly Color Blue = new(0, 114, 178);
    public static readonly Color Vermilion = new(213, 94, 0);
    public static readonly Color ReddishPurple = new(204, 121, 167);

    /// <summary>Colours for the series of a chart, in the order of use.</summary>
    public static readonly IReadOnlyList<Color> Series =
    [
        Blue,
        Vermilion,
        BluishGreen,
        Orange,
        ReddishPurple,
        SkyBlue,
        Yellow,
    ];
}
