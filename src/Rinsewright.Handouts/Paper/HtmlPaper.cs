using System.Globalization;
using System.Net;
using System.Text;

namespace Rinsewright.Handouts.Paper;

/// <summary>Writes a paper as one HTML page that needs nothing else: no script, no other file.</summary>
public static class HtmlPaper
{
    private const int ChartWidth_px = 900;
    private const double PixelsPerPoint = 96.0 / 72.0;

    private const string Style = """
        body{font:16px/1.5 system-ui,sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#10202c;background:#fff}
        table{border-collapse:collapse;margin:1rem 0}
        th,td{padding:.2rem .8rem .2rem 0;text-align:left;vertical-align:top;border-bottom:1px solid #c3ccd1}
        .n{text-align:right;font-variant-numeric:tabular-nums}
        .caution{border-left:4px solid #d55e00;padding-left:.8rem}
        figure{margin:1rem 0}svg{max-width:100%;height:auto}
        """;

    /// <summary>Writes the paper.</summary>
    /// <param name="stream">Where to.</param>
    /// <param name="text">What.</param>
    public static void Write(Stream stream, PaperText text)
    {
        var html = new StringBuilder();
        html.Append(
            CultureInfo.InvariantCulture,
            $"<!doctype html>\n<html lang=\"en\">\n<head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\"><title>{Text(text.Title)}</title><style>{Style}</style></head>\n<body>\n"
        );
        foreach (Block block in text.Blocks)
        {
            html.Append(Of(block)).Append('\n');
        }

        html.Append("</body>\n</html>\n");
        stream.Write(Encoding.UTF8.GetBytes(html.ToString()));
    }

    private static string Of(Block block) =>
        block switch
        {
            Heading h => string.Create(
                CultureInfo.InvariantCulture,
                $"<h{h.Level}>{Text(h.Text)}</h{h.Level}>"
            ),
            Paragraph { IsCaution: true } p => $"<p class=\"caution\">{Text(p.Text)}</p>",
            Paragraph p => $"<p>{Text(p.Text)}</p>",
            PaperTable t => Of(t),
            ChartBlock c =>
                $"<figure role=\"img\" aria-label=\"{Text(c.Alternative)}\">{ChartSvg.Of(c.Plot, ChartWidth_px, (int)(c.Height_pt * PixelsPerPoint))}</figure>",
            _ => throw new ArgumentOutOfRangeException(
                nameof(block),
                block,
                "A kind of block that is written."
            ),
        };

    private static string Of(PaperTable table)
    {
        string Cells(IReadOnlyList<string> cells, string open, string close) =>
            string.Concat(
                cells.Select(
                    (cell, c) =>
                        $"<{open}{(c >= table.FirstNumber ? " class=\"n\"" : "")}>{Text(cell)}</{close}>"
                )
            );
        return $"<table><thead><tr>{Cells(table.Headings, "th scope=\"col\"", "th")}</tr></thead><tbody>"
            + string.Concat(table.Rows.Select(r => $"<tr>{Cells(r, "td", "td")}</tr>"))
            + "</tbody></table>";
    }

    private static string Text(string text) => WebUtility.HtmlEncode(text);
}
