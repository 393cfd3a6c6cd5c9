using System.Globalization;
using System.Text;

namespace Rinsewright.Shared;

/// <summary>
/// Texts that nobody meant: good ones with pieces cut out, doubled, swapped with other texts, or with awkward pieces put in. The same
/// seed gives the same texts.
/// </summary>
internal sealed class Wounding(IReadOnlyList<string> good, ulong seed)
{
    private const int LongestPiece = 24;
    private const int MostWounds = 4;
    private const int LongestText = 20_000;

    private static readonly string[] Awkward =
    [
        "",
        " ",
        "\0",
        "\u2028",
        "\uFEFF",
        "\uD800",
        "é",
        "µ",
        "−",
        "–",
        "°",
        "’",
        "-",
        "--1",
        "<",
        "<<",
        ">",
        ",",
        ";",
        ":",
        "\"",
        "'",
        "\\",
        "\\u0000",
        "\\uD800",
        "{",
        "}",
        "[",
        "]",
        "//",
        "/*",
        "=",
        "@",
        "\t",
        "\r\n",
        "\n",
        "0",
        "-0",
        "1e999",
        "-1e999",
        "1e-999",
        "NaN",
        "Infinity",
        "null",
        "true",
        "99999999999999999999999999",
        "0.1.2",
        "1,234.5",
        "1.234,5",
        "0x10",
        "1e",
        "mg/L",
        "as CaCO3",
        "mg/L as N",
        "gr/gal",
        "°dH",
        "meq/L",
        "µS/cm",
        "degF",
        "gpm",
        "in",
        "9999-12-31T23:59:59Z",
        "0000-00-00",
        "2026-03-29T02:30:00",
        "+14:00",
        "+99:99",
    ];

    private readonly Random _random = new((int)(seed ^ (seed >> 32)));

    /// <summary>The next text, one that UTF-8 can hold.</summary>
    public string Next()
    {
        var text = new StringBuilder(Good());
        int wounds = _random.Next(MostWounds + 1);
        for (int i = 0; i < wounds; i++)
        {
            Wound(text);
        }

        if (text.Length > LongestText)
        {
            text.Length = LongestText;
        }

        return Encoding.UTF8.GetString(Encoding.UTF8.GetBytes(text.ToString()));
    }

    /// <summary>Texts of the files in a folder, each with what the folder's name says of it.</summary>
    public static IReadOnlyList<string> Corpus(string folder) =>
        [
            .. Directory
                .EnumerateFiles(folder, "*", SearchOption.AllDirectories)
                .Order(StringComparer.Ordinal)
                .Select(File.ReadAllText),
        ];

    /// <summary>How many texts a parser meets: few in each run, as many as <c>RINSEWRIGHT_FUZZ</c> says in a long one.</summary>
    public static int CountOr(int usual) =>
        int.TryParse(
            Environment.GetEnvironmentVariable("RINSEWRIGHT_FUZZ"),
            CultureInfo.InvariantCulture,
            out int asked
        )
            ? asked
            : usual;

    private void Wound(StringBuilder text)
    {
        int at = _random.Next(text.Length + 1);
        int length = Math.Min(_random.Next(1, LongestPiece), text.Length - at);
        switch (_random.Next(6))
        {
            case 0:
                text.Remove(at, length);
                break;
            case 1:
                text.Insert(_random.Next(text.Length + 1), text.ToString(at, length));
                break;
            case 2:
                string other = Good();
                int from = _random.Next(other.Length + 1);
                text.Insert(at, other.AsSpan(from, Math.Min(length, other.Length - from)));
                break;
            case 3 when at < text.Length:
                text[at] = (char)_random.Next(_random.Next(2) == 0 ? 128 : 0x10000);
                break;
            case 4 when length > 0:
                text.Remove(at, length).Insert(at, Awkward[_random.Next(Awkward.Length)]);
                break;
            default:
                text.Insert(at, Awkward[_random.Next(Awkward.Length)]);
                break;
        }
    }

    private string Good() => good[_random.Next(good.Count)];
}
