using PdfSharp.Drawing;

namespace Rinsewright.Handouts.Paper;

/// <summary>A size of paper.</summary>
/// <param name="Word">What it is called.</param>
/// <param name="Width_pt">Width upright [pt], 1/72 inch.</param>
/// <param name="Height_pt">Height upright [pt].</param>
/// <param name="IsLandscape">Whether it lies on its long side.</param>
public sealed record Sheet(string Word, double Width_pt, double Height_pt, bool IsLandscape = false)
{
    /// <summary>ISO 216, 210 mm × 297 mm.</summary>
    public static Sheet A4 { get; } = new("A4", 595.276, 841.890);

    /// <summary>8.5 in × 11 in.</summary>
    public static Sheet Letter { get; } = new("Letter", 612, 792);

    public static IReadOnlyList<Sheet> All { get; } = [A4, Letter];

    /// <summary>The same lying on its long side.</summary>
    public Sheet Landscape => this with { IsLandscape = true };

    /// <summary>Width and height as it lies [pt].</summary>
    public XSize Size => IsLandscape ? new XSize(Height_pt, Width_pt) : new XSize(Width_pt, Height_pt);
}
