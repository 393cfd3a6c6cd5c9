using System.Globalization;
using System.Runtime.InteropServices;
using System.Xml.Linq;
using PdfSharp.Drawing;
using Rinsewright.App.Tests.CommandLine;
using Rinsewright.Cli;
using Rinsewright.Handouts.Labels;
using Rinsewright.Handouts.Paper;
using SkiaSharp;
using ZXing;

namespace Rinsewright.App.Tests.Handouts;

public sealed class LabelTests
{
    private const int DotsPerInch = 150;
    private const string Site = "https://rinse.example:8443";

    [Fact]
    public async Task Every_code_of_the_printed_page_is_read_by_another_decoder()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        using var folder = new TempFolder();
        string pdf = folder.PathOf("labels.pdf");
        CliRun run = await home.RunAsync("labels", "Yard bay", "--address", Site, "--output", pdf, "--json");
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        string[] addresses =
        [
            .. run
                .Json.GetProperty("labels")
                .EnumerateArray()
                .Select(l => l.GetProperty("address").GetString()!),
        ];
        Assert.Equal(4, addresses.Length);
        Assert.All(addresses, a => Assert.Matches(@"^https://rinse\.example:8443/log/[0-9a-f-]{36}$", a));
        PdfFile read = PdfFile.Read(pdf);
        Assert.Equal((1, true), (read.Pages, read.IsTagged));
        Assert.All(read.Fonts, f => Assert.True(f.IsEmbedded && f.HasUnicode, f.Name));
        foreach (string words in (string[])["Yard bay", "Polisher", "stage 4 of 4", "Relieve the pressure"])
        {
            Assert.Contains(words, read.Text, StringComparison.Ordinal);
        }

        using SKBitmap page = SKBitmap.Decode(read.Render(1, DotsPerInch));
        var sheet = new LabelSheet([], Sheet.A4);
        Assert.Equal(
            addresses,
            addresses.Select((_, i) => Decode(Cut(page, sheet.PlaceOf(i))) ?? ""),
            StringComparer.Ordinal
        );
    }

    [Fact]
    public async Task The_drawn_sheet_holds_the_same_codes()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        using var folder = new TempFolder();
        string svg = folder.PathOf("labels.svg");
        CliRun run = await home.RunAsync(
            "labels",
            "Van 1",
            "--address",
            Site + "/",
            "--output",
            svg,
            "--paper",
            "letter",
            "--json"
        );
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        string[] addresses =
        [
            .. run
                .Json.GetProperty("labels")
                .EnumerateArray()
                .Select(l => l.GetProperty("address").GetString()!),
        ];
        using SKBitmap page = Paint(XDocument.Load(svg), Sheet.Letter);
        var sheet = new LabelSheet([], Sheet.Letter);
        Assert.Equal(
            addresses,
            addresses.Select((_, i) => Decode(Cut(page, sheet.PlaceOf(i))) ?? ""),
            StringComparer.Ordinal
        );
    }

    [Theory]
    [InlineData("rinse.example")]
    [InlineData("ftp://rinse.example")]
    public async Task An_address_that_a_phone_cannot_open_is_refused(string address)
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun run = await home.RunAsync("labels", "Van 1", "--address", address);
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.StartsWith("--address: ", Assert.Single(run.Problems), StringComparison.Ordinal);
    }

    private static SKBitmap Cut(SKBitmap page, XRect place_pt)
    {
        const double Scale = DotsPerInch / 72.0;
        var cut = new SKBitmap();
        Assert.True(
            page.ExtractSubset(
                cut,
                SKRectI.Create(
                    (int)(place_pt.X * Scale),
                    (int)(place_pt.Y * Scale),
                    (int)(place_pt.Width * Scale),
                    (int)(place_pt.Height * Scale)
                )
            )
        );
        return cut;
    }

    private static string? Decode(SKBitmap picture)
    {
        using SKBitmap plain = picture.Copy(SKColorType.Bgra8888);
        byte[] pixels = new byte[plain.ByteCount];
        Marshal.Copy(plain.GetPixels(), pixels, 0, pixels.Length);
        var source = new RGBLuminanceSource(
            pixels,
            plain.Width,
            plain.Height,
            RGBLuminanceSource.BitmapFormat.BGRA32
        );
        var reader = new BarcodeReaderGeneric();
        reader.Options.PossibleFormats = [BarcodeFormat.QR_CODE];
        reader.Options.TryHarder = true;
        return reader.Decode(source)?.Text;
    }

    /// <summary>Paints the filled rectangles of an SVG, which is all that its codes are.</summary>
    private static SKBitmap Paint(XDocument svg, Sheet sheet)
    {
        const float Scale = DotsPerInch / 72f;
        var page = new SKBitmap((int)(sheet.Width_pt * Scale) + 1, (int)(sheet.Height_pt * Scale) + 1);
        using var canvas = new SKCanvas(page);
        canvas.Clear(SKColors.White);
        using var black = new SKPaint { Color = SKColors.Black };
        foreach (
            XElement rect in svg.Descendants()
                .Where(e => e.Name.LocalName is "rect" && e.Attribute("class") is null)
        )
        {
            float Of(string name) =>
                Scale * float.Parse(rect.Attribute(name)!.Value, CultureInfo.InvariantCulture);
            canvas.DrawRect(Of("x"), Of("y"), Of("width"), Of("height"), black);
        }

        return page;
    }
}
