using System.Globalization;
using System.Text;
using Rinsewright.Water;

namespace Rinsewright.Web.Pictures;

/// <summary>
/// A section through the beds as they stand: at each depth what sits on the cation resin (left) and on the anion resin
/// (right), as the bed model computes it. Water enters at the top.
/// </summary>
internal sealed class BedPicture(LifeQuestion question, BedMoment moment, Speech speech, Ink ink)
{
    private const int Wide = 400;
    private const int ColumnWide = 132;
    private const int LeftColumn = 60;
    private const int RightColumn = 208;
    private const int Top = 54;
    private const double SliceHigh = 8;
    private const int Between = 34;

    /// <summary>What is shown together, with its colour and a letter that says the same.</summary>
    public static readonly IReadOnlyList<IonGroup> Groups =
    [
        new(
            Texts.Key("hardness"),
            "Ca Mg",
            Ink.Vermilion,
            Component.Calcium,
            Component.Magnesium,
            Component.Strontium,
            Component.Barium,
            Component.Iron,
            Component.Manganese
        ),
        new(
            Texts.Key("sodium and potassium"),
            "Na K",
            Ink.Orange,
            Component.Sodium,
            Component.Potassium,
            Component.Ammonium
        ),
        new(Texts.Key("sulfate"), "SO₄", Ink.Purple, Component.Sulfate, Component.Phosphate),
        new(
            Texts.Key("chloride and nitrate"),
            "Cl",
            Ink.Blue,
            Component.Chloride,
            Component.Nitrate,
            Component.Fluoride
        ),
        new(Texts.Key("bicarbonate"), "HCO₃", Ink.Green, Component.InorganicCarbon),
        new(Texts.Key("silica"), "SiO₂", Ink.Yellow, Component.Silica),
    ];

    public string ToSvg()
    {
        int beds = question.Beds.Count;
        double bedHigh = 24 * SliceHigh;
        double high = Top + (beds * (bedHigh + Between)) + 96;
        var svg = new StringBuilder();
        Line(
            svg,
            $"<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {Wide} {high:0}\" width=\"{Wide}\" height=\"{high:0}\" font-family=\"system-ui, sans-serif\" font-size=\"13\">"
        );
        Line(svg, $"<rect width=\"{Wide}\" height=\"{high:0}\" fill=\"{ink.Paper}\"/>");
        Text(svg, LeftColumn + (ColumnWide / 2.0), 36, speech["cation resin"], "middle", 600);
        Text(svg, RightColumn + (ColumnWide / 2.0), 36, speech["anion resin"], "middle", 600);
        Text(svg, Wide / 2.0, 16, speech["water in ↓"], "middle", 400);
        for (int b = 0; b < beds; b++)
        {
            double top = Top + (b * (bedHigh + Between));
            DrawBed(svg, b, top, bedHigh);
        }

        Legend(svg, Top + (beds * (bedHigh + Between)));
        svg.Append("</svg>");
        return svg.ToString();
    }

    private void DrawBed(StringBuilder svg, int bed, double top, double high)
    {
        Line(
            svg,
            $"<rect x=\"{LeftColumn - 8}\" y=\"{top - 8:0.#}\" width=\"{RightColumn + ColumnWide - LeftColumn + 16}\" height=\"{high + 16:0.#}\" rx=\"14\" fill=\"none\" stroke=\"{ink.Text}\" stroke-width=\"2.5\"/>"
        );
        ILookup<int, BedSlice> resins = moment.Slices.Where(s => s.Bed == bed).ToLookup(s => s.Resin);
        foreach (IGrouping<int, BedSlice> resin in resins)
        {
            int x = resin.First().Sign > 0 ? LeftColumn : RightColumn;
            Line(
                svg,
                $"<rect x=\"{x}\" y=\"{top:0.#}\" width=\"{ColumnWide}\" height=\"{high:0.#}\" fill=\"{ink.Paper}\" stroke=\"{ink.Line}\"/>"
            );
            var best = new Dictionary<IonGroup, (double Share, double X, double Y)>();
            foreach (BedSlice slice in resin)
            {
                double y = top + (slice.Slice * SliceHigh);
                double at = x;
                foreach (IonGroup group in Groups)
                {
                    double share = slice.Held.Where(h => group.Ions.Contains(h.Ion)).Sum(h => h.Share);
                    if (share < 0.004)
                    {
                        continue;
                    }

                    double wide = share * ColumnWide;
                    Line(
                        svg,
                        $"<rect x=\"{at:0.#}\" y=\"{y:0.#}\" width=\"{wide:0.#}\" height=\"{SliceHigh + 0.3:0.#}\" fill=\"{group.Color}\"/>"
                    );
                    if (share > 0.27 && share > best.GetValueOrDefault(group).Share)
                    {
                        best[group] = (share, at + (wide / 2), y + SliceHigh);
                    }

                    at += wide;
                }
            }

            foreach ((IonGroup group, (double _, double labelX, double labelY)) in best)
            {
                Label(svg, labelX, Math.Clamp(labelY, top + 13, top + high - 4), group.Letters);
            }

            double fresh = resin.Average(s => s.Fresh);
            Text(
                svg,
                x + (ColumnWide / 2.0),
                top + high + 24,
                speech["{0} % fresh", Math.Round(100 * fresh).ToString("0", CultureInfo.InvariantCulture)],
                "middle",
                600
            );
        }
    }

    private void Legend(StringBuilder svg, double top)
    {
        for (int i = 0; i < Groups.Count; i++)
        {
            int x = 12 + (i % 2 * 176);
            double y = top + 18 + (i / 2 * 24);
            Line(
                svg,
                $"<rect x=\"{x}\" y=\"{y - 11:0.#}\" width=\"14\" height=\"14\" rx=\"3\" fill=\"{Groups[i].Color}\" stroke=\"{ink.Quiet}\"/>"
            );
            Text(svg, x + 20, y, $"{speech[Groups[i].Name]} {Groups[i].Letters}", "start", 400);
        }
    }

    /// <summary>Letters on a patch of paper, so that they can be read on any colour.</summary>
    private void Label(StringBuilder svg, double x, double y, string text)
    {
        double wide = (7.5 * text.Length) + 6;
        Line(
            svg,
            $"<rect x=\"{x - (wide / 2):0.#}\" y=\"{y - 12:0.#}\" width=\"{wide:0.#}\" height=\"16\" rx=\"4\" fill=\"{ink.Paper}\" fill-opacity=\"0.88\"/>"
        );
        Text(svg, x, y, text, "middle", 600);
    }

    private void Text(StringBuilder svg, double x, double y, string text, string anchor, int weight) =>
        Line(
            svg,
            $"<text x=\"{x:0.#}\" y=\"{y:0.#}\" text-anchor=\"{anchor}\" font-weight=\"{weight}\" fill=\"{ink.Text}\">{System.Security.SecurityElement.Escape(text)}</text>"
        );

    private static void Line(StringBuilder svg, FormattableString text) =>
        svg.Append(text.ToString(CultureInfo.InvariantCulture)).Append('\n');

    /// <summary>The picture in words: where each group reaches, and how much is fresh.</summary>
    public static string InWords(LifeQuestion question, BedMoment moment, Speech speech)
    {
        List<string> sentences = [];
        for (int bed = 0; bed < question.Beds.Count; bed++)
        {
            BedSlice[] slices = [.. moment.Slices.Where(s => s.Bed == bed)];
            if (question.Beds.Count > 1)
            {
                sentences.Add($"{question.Beds[bed].Name}:");
            }

            foreach (IonGroup group in Groups)
            {
                int[] held =
                [
                    .. slices
                        .Where(s => s.Held.Where(h => group.Ions.Contains(h.Ion)).Sum(h => h.Share) > 0.15)
                        .Select(s => s.Slice),
                ];
                if (held.Length > 0)
                {
                    int count = slices.Max(s => s.Slice) + 1;
                    sentences.Add(
                        speech[
                            "{0} sits from {1} to {2} % of the depth.",
                            speech[group.Name],
                            100 * held.Min() / count,
                            100 * (held.Max() + 1) / count
                        ]
                    );
                }
            }

            foreach (
                IGrouping<int, BedSlice> resin in slices.GroupBy(s => s.Sign).OrderByDescending(g => g.Key)
            )
            {
                sentences.Add(
                    speech[
                        resin.Key > 0
                            ? Texts.Key("{0} % of the cation resin is fresh.")
                            : Texts.Key("{0} % of the anion resin is fresh."),
                        Math.Round(100 * resin.Average(s => s.Fresh))
                            .ToString("0", CultureInfo.InvariantCulture)
                    ]
                );
            }
        }

        return string.Join(' ', sentences);
    }
}

/// <summary>Ions that are shown together.</summary>
/// <param name="Name">In words.</param>
/// <param name="Letters">In letters.</param>
/// <param name="Color">Its colour.</param>
/// <param name="Ions">The ions.</param>
internal sealed record IonGroup(string Name, string Letters, string Color, params Component[] Ions);
