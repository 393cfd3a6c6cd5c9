using System.Globalization;
using System.Net;
using System.Text;
using PdfSharp.Drawing;
using PdfSharp.Pdf;
using PdfSharp.UniversalAccessibility;
using Rinsewright.Handouts.Paper;
using Rinsewright.Records.Histories;

namespace Rinsewright.Handouts.Labels;

/// <summary>What stands on a label.</summary>
/// <param name="Rig">The rig.</param>
/// <param name="Stage">The stage.</param>
/// <param name="Place">Which of how many.</param>
/// <param name="Address">What its code opens.</param>
public sealed record HousingLabel(string Rig, string Stage, string Place, Uri Address);

/// <summary>A sheet of labels to cut out, one for each housing, two across and four down to a page.</summary>
/// <param name="Labels">The labels.</param>
/// <param name="Sheet">The paper, upright.</param>
public sealed record LabelSheet(IReadOnlyList<HousingLabel> Labels, Sheet Sheet)
{
    private const int Across = 2;
    private const int Down = 4;
    private const double Margin_pt = 36;
    private const double Inside_pt = 10;
    private const double Name_pt = 14;
    private const double Text_pt = 9;
    private const string Caution = "Relieve the pressure before you open it.";

    /// <summary>Labels on a page.</summary>
    public const int PerPage = Across * Down;

    /// <summary>The labels of a rig.</summary>
    /// <param name="history">The rig.</param>
    /// <param name="site">Where its pages are reached.</param>
    /// <param name="sheet">The paper.</param>
    public static LabelSheet Of(RigHistory history, Uri site, Sheet sheet) =>
        new(
            [
                .. history.Stages.Select(
                    (s, i) =>
                        new HousingLabel(
                            history.Rig.Name,
                            s.Stage.Name,
                            string.Create(
                                CultureInfo.InvariantCulture,
                                $"stage {i + 1} of {history.Stages.Count}"
                            ),
                            HousingCode.AddressOf(site, s.Stage.Id)
                        )
                ),
            ],
            sheet
        );

    /// <summary>Where a label stands on its page [pt].</summary>
    /// <param name="index">Its number on the page, 0 at the top left.</param>
    public XRect PlaceOf(int index)
    {
        double width = (Sheet.Width_pt - (2 * Margin_pt)) / Across;
        double height = (Sheet.Height_pt - (2 * Margin_pt)) / Down;
        return new XRect(
            Margin_pt + (width * (index % Across)),
            Margin_pt + (height * (index / Across)),
            width,
            height
        );
    }

    /// <summary>Writes all pages as PDF.</summary>
    public void WritePdf(Stream stream)
    {
        XFont name = PdfPaper.FontOf(Name_pt, bold: true);
        XFont text = PdfPaper.FontOf(Text_pt);
        using var document = new PdfDocument();
        document.Info.Title = Title;
        document.Info.Creator = "Rinsewright";
        document.ViewerPreferences.DisplayDocTitle = true;
        UAManager tags = UAManager.ForDocument(document);
        tags.SetDocumentLanguage("en");
        foreach (HousingLabel[] page in Labels.Chunk(PerPage))
        {
            PdfPage added = document.AddPage();
            added.Width = XUnit.FromPoint(Sheet.Width_pt);
            added.Height = XUnit.FromPoint(Sheet.Height_pt);
            using XGraphics graphics = XGraphics.FromPdfPage(added);
            for (int i = 0; i < page.Length; i++)
            {
                Print(graphics, tags.StructureBuilder, page[i], PlaceOf(i), name, text);
            }
        }

        document.Save(stream, closeStream: false);
    }

    /// <summary>The first page as SVG: as many labels as it holds.</summary>
    public string ToSvg()
    {
        var svg = new StringBuilder();
        svg.Append(
            CultureInfo.InvariantCulture,
            $"<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{Sheet.Width_pt}pt\" height=\"{Sheet.Height_pt}pt\" viewBox=\"0 0 {Sheet.Width_pt} {Sheet.Height_pt}\" font-family=\"DejaVu Sans, Verdana, sans-serif\">\n<title>{WebUtility.HtmlEncode(Title)}</title>\n"
        );
        for (int i = 0; i < Math.Min(Labels.Count, PerPage); i++)
        {
            HousingLabel label = Labels[i];
            XRect place = PlaceOf(i);
            svg.Append(
                CultureInfo.InvariantCulture,
                $"<rect class=\"cut\" x=\"{place.X}\" y=\"{place.Y}\" width=\"{place.Width}\" height=\"{place.Height}\" fill=\"none\" stroke=\"#b0b8bd\"/>\n"
            );
            foreach (XRect dark in Modules(label, place))
            {
                svg.Append(
                    CultureInfo.InvariantCulture,
                    $"<rect x=\"{dark.X:0.###}\" y=\"{dark.Y:0.###}\" width=\"{dark.Width:0.###}\" height=\"{dark.Height:0.###}\" shape-rendering=\"crispEdges\"/>\n"
                );
            }

            foreach ((string words, double y, double size) in Lines(label, place))
            {
                svg.Append(
                    CultureInfo.InvariantCulture,
                    $"<text x=\"{place.X + place.Width / 2}\" y=\"{y:0.###}\" font-size=\"{size}\" text-anchor=\"middle\"{(size > Text_pt ? " font-weight=\"bold\"" : "")}>{WebUtility.HtmlEncode(words)}</text>\n"
                );
            }
        }

        return svg.Append("</svg>\n").ToString();
    }

    private string Title => $"{Labels[0].Rig}: labels for the housings";

    private static void Print(
        XGraphics graphics,
        StructureBuilder tags,
        HousingLabel label,
        XRect place,
        XFont name,
        XFont text
    )
    {
        tags.BeginArtifact();
        graphics.DrawRectangle(XPens.LightGray, place);
        tags.End();
        tags.BeginElement(
            PdfIllustrationElementTag.Figure,
            $"Code that opens the quick log of {label.Rig}, {label.Stage}",
            place
        );
        foreach (XRect dark in Modules(label, place))
        {
            graphics.DrawRectangle(XBrushes.Black, dark);
        }

        tags.End();
        tags.BeginElement(PdfBlockLevelElementTag.Paragraph);
        foreach ((string words, double y, double size) in Lines(label, place))
        {
            graphics.DrawString(
                words,
                size > Text_pt ? name : text,
                XBrushes.Black,
                new XPoint(place.X + (place.Width / 2), y),
                XStringFormats.BaseLineCenter
            );
        }

        tags.End();
    }

    private static IEnumerable<XRect> Modules(HousingLabel label, XRect place)
    {
        var code = HousingCode.Of(label.Address);
        double side = place.Height - (2 * Inside_pt) - TextHeight;
        double module = side / code.Size;
        double left = place.X + ((place.Width - side) / 2);
        return code.Runs()
            .Select(r => new XRect(
                left + (r.Column * module),
                place.Y + Inside_pt + (r.Row * module),
                r.Length * module,
                module
            ));
    }

    private static double TextHeight => Name_pt + (2 * Text_pt) + 12;

    private static IEnumerable<(string Words, double Y, double Size)> Lines(HousingLabel label, XRect place)
    {
        double foot = place.Bottom - Inside_pt;
        yield return (label.Stage, foot - (2 * Text_pt) - 8, Name_pt);
        yield return ($"{label.Rig}, {label.Place}", foot - Text_pt - 4, Text_pt);
        yield return (Caution, foot, Text_pt);
    }
}
