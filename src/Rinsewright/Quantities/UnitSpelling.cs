using System.Text;

namespace Rinsewright.Quantities;

/// <summary>Brings the many ways to type a unit or a number to one: both micro signs, superscripts, dashes, spaces.</summary>
internal static class UnitSpelling
{
    /// <summary>Text with look-alike characters replaced by plain ones; range dashes become "–".</summary>
    public static string Plain(string text)
    {
        var plain = new StringBuilder(text.Length);
        foreach (char c in text)
        {
            switch (c)
            {
                case '\u00B5' or '\u03BC':
                    plain.Append('u');
                    break;
                case '\u2212' or '\u207B':
                    plain.Append('-');
                    break;
                case '\u2010' or '\u2011' or '\u2012' or '\u2013' or '\u2014' or '\u2015':
                    plain.Append('\u2013');
                    break;
                case '\u207A':
                    plain.Append('+');
                    break;
                case '\u00B2':
                    plain.Append('2');
                    break;
                case '\u00B3':
                    plain.Append('3');
                    break;
                case >= '\u2080' and <= '\u2089':
                    plain.Append((char)('0' + (c - '\u2080')));
                    break;
                case '\u00BA' or '\u02DA':
                    plain.Append('\u00B0');
                    break;
                case '\u2103':
                    plain.Append("\u00B0C");
                    break;
                case '\u2109':
                    plain.Append("\u00B0F");
                    break;
                case '\u2113':
                    plain.Append('L');
                    break;
                case '\u2264':
                    plain.Append("<=");
                    break;
                case '^':
                    break;
                default:
                    plain.Append(char.IsWhiteSpace(c) ? ' ' : c);
                    break;
            }
        }

        return plain.ToString().Trim();
    }

    /// <summary>
    /// Whether a number is raised to a power, as in "10^3 L" or "10³ L": brought to plain letters it would be another number. A
    /// digit of a formula (the 4 of "SO4²⁻") is no number.
    /// </summary>
    public static bool RaisesNumber(string text)
    {
        bool number = false;
        for (int i = 0; i < text.Length; i++)
        {
            if (number && text[i] is '^' or '\u00B9' or '\u00B2' or '\u00B3' or (>= '\u2070' and <= '\u207B'))
            {
                return true;
            }

            bool goesOn = number && text[i] is '.' or 'e' or 'E';
            bool begins = char.IsAsciiDigit(text[i]) && (i == 0 || !IsOfWord(text[i - 1]));
            number = goesOn || begins || (number && char.IsAsciiDigit(text[i]));
        }

        return false;

        static bool IsOfWord(char c) => char.IsLetterOrDigit(c) || c is ')' or ']';
    }

    /// <summary>
    /// Whether two plain spellings name the same unit: letter case does not count, but for a leading "M"
    /// (mega, molar), and neither do spaces.
    /// </summary>
    public static bool Same(string spelling, string typed)
    {
        if (typed.Length == 0 || (spelling[0] == 'M' && typed[0] == 'm'))
        {
            return false;
        }

        return string.Equals(spelling, typed, StringComparison.OrdinalIgnoreCase)
            || string.Equals(
                spelling.Replace(" ", "", StringComparison.Ordinal),
                typed.Replace(" ", "", StringComparison.Ordinal),
                StringComparison.OrdinalIgnoreCase
            );
    }
}
