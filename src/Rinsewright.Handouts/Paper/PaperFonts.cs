using PdfSharp.Fonts;
using ScottPlot;
using SkiaSharp;

namespace Rinsewright.Handouts.Paper;

/// <summary>
/// The fonts of everything that is printed, carried in this assembly, so that a sheet is the same on every machine and its fonts
/// can be embedded. Both libraries keep one resolver for the whole process; it knows this family only.
/// </summary>
internal sealed class PaperFonts : PdfSharp.Fonts.IFontResolver, ScottPlot.IFontResolver
{
    public const string Family = "DejaVu Sans";
    private const string RegularFace = "DejaVuSans";
    private const string BoldFace = "DejaVuSans-Bold";
    private static readonly Lazy<PaperFonts> Registered = new(Register);
    private readonly Lazy<SKTypeface> _regular = new(() => Typeface(RegularFace));
    private readonly Lazy<SKTypeface> _bold = new(() => Typeface(BoldFace));

    /// <summary>Makes the fonts known; once is enough.</summary>
    public static void Use() => _ = Registered.Value;

    public FontResolverInfo? ResolveTypeface(string familyName, bool isBold, bool isItalic) =>
        string.Equals(familyName, Family, StringComparison.OrdinalIgnoreCase)
            ? new FontResolverInfo(isBold ? BoldFace : RegularFace)
            : null;

    public byte[] GetFont(string faceName) => Bytes(faceName);

    public SKTypeface? CreateTypeface(string fontName, bool bold, bool italic) =>
        string.Equals(fontName, Family, StringComparison.OrdinalIgnoreCase)
            ? (bold ? _bold : _regular).Value
            : null;

    public SKTypeface? CreateTypeface(
        string fontName,
        FontWeight weight,
        FontSlant slant,
        FontSpacing spacing
    ) => CreateTypeface(fontName, weight >= FontWeight.Bold, italic: false);

    private static PaperFonts Register()
    {
        var fonts = new PaperFonts();
        GlobalFontSettings.FontResolver = fonts;
        ScottPlot.Fonts.FontResolvers.Insert(0, fonts);
        return fonts;
    }

    private static SKTypeface Typeface(string face)
    {
        using var stream = new MemoryStream(Bytes(face));
        return SKTypeface.FromStream(stream);
    }

    private static byte[] Bytes(string face)
    {
        using Stream stream = typeof(PaperFonts).Assembly.GetManifestResourceStream($"{face}.ttf")!;
        using var bytes = new MemoryStream();
        stream.CopyTo(bytes);
        return bytes.ToArray();
    }
}
