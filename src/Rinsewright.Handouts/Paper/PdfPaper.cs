using System.Globalization;
using PdfSharp.Drawing;
using PdfSharp.Pdf;
using PdfSharp.UniversalAccessibility;
using ScottPlot;
using SkiaSharp;

namespace Rinsewright.Handouts.Paper;

/// <summary>Prints a paper as PDF: fonts embedded, text that can be selected, tagged for screen readers, charts as vectors.</summary>
public sealed class PdfPaper : IDisposable
{
    private const double Margin_pt = 42;
    private const double Body_pt = 10;
    private const double Small_pt = 8.5;
    private const double Leading = 1.35;
    private const double CellGap_pt = 8;
    private static readonly double[] Headings_pt = [20, 14, 11.5];
    private readonly Sheet _sheet;
    private readonly PdfDocument _document = new();
    private readonly UAManager _tags;
    private readonly string _footer;
    private readonly XFont _body = FontOf(Body_pt);
    private readonly XFont _bold = FontOf(Body_pt, bold: true);
    private readonly XFont _small = FontOf(Small_pt);
    private XGraphics? _page;
    private double _y;

    private PdfPaper(PaperText text, Sheet sheet, string footer)
    {
        _sheet = sheet;
        _footer = footer;
        _document.Info.Title = text.Title;
        _document.Info.Creator = "Rinsewright";
        _document.ViewerPreferences.DisplayDocTitle = true;
        _tags = UAManager.ForDocument(_document);
        _tags.SetDocumentLanguage("en");
    }

    private double Width => _sheet.Size.Width - (2 * Margin_pt);

    private double Bottom => _sheet.Size.Height - Margin_pt;

    private StructureBuilder Tags => _tags.StructureBuilder;

    /// <summary>Writes the paper.</summary>
    /// <param name="stream">Where to.</param>
    /// <param name="text">What.</param>
    /// <param name="sheet">On which paper.</param>
    /// <param name="footer">A line at the foot of every page, before its number.</param>
    public static void Write(Stream stream, PaperText text, Sheet sheet, string footer)
    {
        PaperFonts.Use();
        using var paper = new PdfPaper(text, sheet, footer);
        paper.NewPage();
        foreach (Block block in text.Blocks)
        {
            paper.Print(block);
        }

        paper._page?.Dispose();
        paper._page = null;
        paper._document.Save(stream, closeStream: false);
    }

    public void Dispose()
    {
        _page?.Dispose();
        _document.Dispose();
    }

    internal static XFont FontOf(double size_pt, bool bold = false)
    {
        PaperFonts.Use();
        return new XFont(
            PaperFonts.Family,
            size_pt,
            bold ? XFontStyleEx.Bold : XFontStyleEx.Regular,
            new XPdfFontOptions(PdfFontEncoding.Unicode)
        );
    }

    /// <summary>A chart as a one-page PDF of vectors and text.</summary>
    internal static MemoryStream ChartPdf(Plot plot, double width_pt, double height_pt)
    {
        PaperFonts.Use();
        var pdf = new MemoryStream();
        using (SKDocument document = SKDocument.CreatePdf(pdf))
        {
            SKCanvas canvas = document.BeginPage((float)width_pt, (float)height_pt);
            ChartSvg.SettleLayout(plot, (int)width_pt, (int)height_pt);
            plot.Render(canvas, new PixelRect(0, (float)width_pt, (float)height_pt, 0));
            document.EndPage();
            document.Close();
        }

        pdf.Position = 0;
        return pdf;
    }

    private void NewPage()
    {
        _page?.Dispose();
        PdfPage page = _document.AddPage();
        page.Width = XUnit.FromPoint(_sheet.Size.Width);
        page.Height = XUnit.FromPoint(_sheet.Size.Height);
        _page = XGraphics.FromPdfPage(page);
        _y = Margin_pt;
        Tags.BeginArtifact();
        string number = _document.PageCount.ToString(CultureInfo.InvariantCulture);
        var place = new XRect(Margin_pt, Bottom + 12, Width, 12);
        _page.DrawString(_footer, _small, XBrushes.DimGray, place, XStringFormats.TopLeft);
        _page.DrawString(number, _small, XBrushes.DimGray, place, XStringFormats.TopRight);
        Tags.End();
    }

    private void Print(Block block)
    {
        switch (block)
        {
            case Heading heading:
                Print(heading);
                break;
            case Paragraph paragraph:
                Print(paragraph);
                break;
            case PaperTable table:
                Print(table);
                break;
            case ChartBlock chart:
                Print(chart);
                break;
            default:
                throw new ArgumentOutOfRangeException(
                    nameof(block),
                    block,
                    "A kind of block that is printed."
                );
        }
    }

    private void Print(Heading heading)
    {
        XFont font = FontOf(Headings_pt[heading.Level - 1], bold: true);
        double above = heading.Level == 1 ? 0 : font.Size;
        Need(above + (font.Size * Leading) + (4 * Body_pt * Leading));
        _y += above;
        Tags.BeginElement(
            heading.Level switch
            {
                1 => PdfBlockLevelElementTag.Heading1,
                2 => PdfBlockLevelElementTag.Heading2,
                _ => PdfBlockLevelElementTag.Heading3,
            }
        );
        foreach (string line in Wrap(heading.Text, font, Width))
        {
            Line(line, font, Margin_pt);
        }

        Tags.End();
        _y += 2;
    }

    private void Print(Paragraph paragraph)
    {
        double indent = paragraph.IsCaution ? 10 : 0;
        string[] lines = [.. Wrap(paragraph.Text, _body, Width - indent)];
        Need(Math.Min(lines.Length, 3) * Body_pt * Leading);
        Tags.BeginElement(PdfBlockLevelElementTag.Paragraph);
        foreach (string line in lines)
        {
            Need(Body_pt * Leading);
            if (paragraph.IsCaution)
            {
                _page!.DrawRectangle(
                    new XSolidBrush(XColor.FromArgb(213, 94, 0)),
                    Margin_pt,
                    _y,
                    3,
                    Body_pt * Leading
                );
            }

            Line(line, _body, Margin_pt + indent);
        }

        Tags.End();
        _y += 4;
    }

    private void Print(PaperTable table)
    {
        double[] widths = WidthsOf(table);
        _y += 2;
        bool isOpen = false;
        void Open()
        {
            Tags.BeginElement(PdfBlockLevelElementTag.Table);
            Row(table, table.Headings, widths, isHead: true);
            isOpen = true;
        }

        foreach (IReadOnlyList<string> row in table.Rows)
        {
            double height = HeightOf(row, widths, _small);
            if (!isOpen || _y + height > Bottom)
            {
                if (isOpen)
                {
                    Tags.End();
                }

                Need(height + (HeightOf(table.Headings, widths, _small) * 2));
                Open();
            }

            Row(table, row, widths, isHead: false);
        }

        if (isOpen)
        {
            Tags.End();
        }

        _y += 8;
    }

    private void Print(ChartBlock chart)
    {
        double height = Math.Min(chart.Height_pt, Bottom - Margin_pt - 60);
        Need(height);
        using MemoryStream pdf = ChartPdf(chart.Plot, Width, height);
        using var form = XPdfForm.FromStream(pdf);
        var place = new XRect(Margin_pt, _y, Width, height);
        Tags.BeginElement(PdfIllustrationElementTag.Figure, chart.Alternative, place);
        _page!.DrawImage(form, place);
        Tags.End();
        _y += height + 6;
    }

    private void Row(PaperTable table, IReadOnlyList<string> cells, double[] widths, bool isHead)
    {
        XFont font = isHead ? FontOf(Small_pt, bold: true) : _small;
        double height = HeightOf(cells, widths, font);
        Tags.BeginElement(PdfBlockLevelElementTag.TableRow);
        double x = Margin_pt;
        for (int c = 0; c < widths.Length; c++)
        {
            Tags.BeginElement(
                isHead ? PdfBlockLevelElementTag.TableHeaderCell : PdfBlockLevelElementTag.TableDataCell
            );
            double y = _y;
            foreach (string line in Wrap(cells[c], font, widths[c] - CellGap_pt))
            {
                _page!.DrawString(
                    line,
                    font,
                    XBrushes.Black,
                    new XRect(x, y, widths[c] - CellGap_pt, font.Size * Leading),
                    c >= table.FirstNumber ? XStringFormats.TopRight : XStringFormats.TopLeft
                );
                y += font.Size * Leading;
            }

            Tags.End();
            x += widths[c];
        }

        Tags.End();
        _y += height;
        Tags.BeginArtifact();
        _page!.DrawLine(
            isHead ? XPens.Black : XPens.LightGray,
            Margin_pt,
            _y - 1.5,
            Margin_pt + Width,
            _y - 1.5
        );
        Tags.End();
    }

    /// <summary>Widths that fit the cells, squeezed where they would not fit the paper: the widest give most.</summary>
    private double[] WidthsOf(PaperTable table)
    {
        XFont bold = FontOf(Small_pt, bold: true);
        double[] wanted =
        [
            .. table.Headings.Select(
                (h, c) =>
                    table
                        .Rows.Select(r => _page!.MeasureString(r[c], _small).Width)
                        .Append(h.Split(' ').Max(w => _page!.MeasureString(w, bold).Width))
                        .Max() + CellGap_pt
            ),
        ];
        double rest = wanted.Sum() - Width;
        double share = Width / wanted.Length;
        double wide = wanted.Where(w => w > share).Sum(w => w - share);
        return rest <= 0
            ? [.. wanted.Select(w => w * Math.Min(Width / wanted.Sum(), 1.6))]
            : [.. wanted.Select(w => w > share ? w - (rest * (w - share) / wide) : w)];
    }

    private double HeightOf(IReadOnlyList<string> cells, double[] widths, XFont font) =>
        (
            cells.Select((cell, c) => Wrap(cell, font, widths[c] - CellGap_pt).Count()).Max()
            * font.Size
            * Leading
        ) + 3;

    private void Line(string text, XFont font, double x)
    {
        _page!.DrawString(
            text,
            font,
            XBrushes.Black,
            new XRect(x, _y, Width, font.Size * Leading),
            XStringFormats.TopLeft
        );
        _y += font.Size * Leading;
    }

    private void Need(double height)
    {
        if (_y + height > Bottom)
        {
            NewPage();
        }
    }

    private IEnumerable<string> Wrap(string text, XFont font, double width)
    {
        string line = "";
        foreach (string word in text.Split(' '))
        {
            string longer = line.Length == 0 ? word : $"{line} {word}";
            if (line.Length > 0 && _page!.MeasureString(longer, font).Width > width)
            {
                yield return line;
                longer = word;
            }

            line = longer;
        }

        yield return line;
    }
}
