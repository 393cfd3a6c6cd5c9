using System.Diagnostics.CodeAnalysis;
using System.Globalization;

namespace Rinsewright.Quantities;

/// <summary>The numbers of a statement, in the unit written after them.</summary>
/// <param name="Kind">How the value is stated.</param>
/// <param name="Low">The value or the least of a range; none below a limit.</param>
/// <param name="Middle">The value between, of three.</param>
/// <param name="High">The value, the greatest of a range, or the limit.</param>
/// <param name="LastDigit">One step of the last digit, of the number written with most decimals.</param>
/// <param name="Unit">The rest of the text, in plain letters.</param>
internal readonly record struct RawStatement(
    StatementKind Kind,
    double? Low,
    double? Middle,
    double High,
    double LastDigit,
    string Unit
);

/// <summary>
/// Reads <c>[&lt;] number [– number [– number]] unit</c>, where "–" is a hyphen, a dash or "to". A point stands before
/// the decimals whatever the culture; a comma, and anything that parts thousands, is refused because nobody can
/// tell which of the two it is.
/// </summary>
internal struct StatementScanner
{
    private readonly string _text;
    private int _at;
    private double _lastDigit;

    private StatementScanner(string text)
    {
        _text = text;
        _at = 0;
        _lastDigit = double.PositiveInfinity;
    }

    /// <summary>Reads a statement, or says what would be right.</summary>
    public static bool TryScan(
        string text,
        out RawStatement statement,
        [NotNullWhen(false)] out Sentence? expected
    )
    {
        if (UnitSpelling.RaisesNumber(text))
        {
            statement = default;
            expected = Sentence.Of("a number written out, such as 1000 or 1e3, not as a power");
            return false;
        }

        var scanner = new StatementScanner(UnitSpelling.Plain(text));
        return scanner.TryScan(out statement, out expected);
    }

    private bool TryScan(out RawStatement statement, [NotNullWhen(false)] out Sentence? expected)
    {
        statement = default;
        if (_text.Length == 0)
        {
            expected = Sentence.Of("a number and its unit");
            return false;
        }

        bool belowLimit = false;
        if (_text[0] is '<')
        {
            belowLimit = true;
            _at = _text.Length > 1 && _text[1] is '=' ? 2 : 1;
            SkipSpaces();
        }
        else if (_text[0] is '>' or '\u2265')
        {
            expected = Sentence.Of(
                "a value, a range or an upper limit such as \"<0.05 mg/L\" (a lower limit alone says too little)"
            );
            return false;
        }

        Span<double> numbers = stackalloc double[3];
        int count = 0;
        string? innerUnit = null;
        string? otherUnit = null;
        do
        {
            if (count == numbers.Length)
            {
                expected = Sentence.Of("at most three numbers: least, mean and greatest");
                return false;
            }

            if (!TryNumber(out numbers[count], out expected))
            {
                return false;
            }

            count++;
            if (SkipUnitBeforeSeparator() is { } found)
            {
                innerUnit ??= found;
                otherUnit ??= UnitSpelling.Same(innerUnit, found) ? null : found;
            }
        } while (TrySeparator());

        string unit = _text[_at..].Trim();
        otherUnit ??= innerUnit is null || UnitSpelling.Same(innerUnit, unit) ? null : unit;
        if (otherUnit is not null)
        {
            expected = Sentence.Of(
                $"one unit for the whole range, not both \"{innerUnit}\" and \"{otherUnit}\""
            );
            return false;
        }

        for (int i = 1; i < count; i++)
        {
            if (!(numbers[i - 1] <= numbers[i]))
            {
                expected = Sentence.Of("a range from the least to the greatest, with the mean between");
                return false;
            }
        }

        if (count > 2 && belowLimit)
        {
            expected = Sentence.Of("either a limit (\"<0.05 mg/L\") or three numbers, not both");
            return false;
        }

        statement = new RawStatement(
            count > 1 ? StatementKind.Between
                : belowLimit ? StatementKind.Below
                : StatementKind.Exactly,
            belowLimit ? null : numbers[0],
            count == 3 ? numbers[1] : null,
            numbers[count - 1],
            _lastDigit,
            unit
        );
        expected = null;
        return true;
    }

    private bool TryNumber(out double number, [NotNullWhen(false)] out Sentence? expected)
    {
        int start = _at;
        number = 0;
        if (_at < _text.Length && _text[_at] is '-' or '+')
        {
            _at++;
        }

        int whole = SkipDigits();
        int decimals = 0;
        if (_at < _text.Length && _text[_at] is '.' && (_at + 1 >= _text.Length || _text[_at + 1] is not '.'))
        {
            _at++;
            decimals = SkipDigits();
        }

        if (whole + decimals == 0)
        {
            expected = Sentence.Of("a number and its unit");
            return false;
        }

        int exponent = ScanExponent();
        if (FindForeignSeparator(start, out expected))
        {
            return false;
        }

        number = double.Parse(
            _text.AsSpan(start, _at - start),
            NumberStyles.Float,
            CultureInfo.InvariantCulture
        );
        if (!double.IsFinite(number))
        {
            expected = Sentence.Of("a number that is not beyond all bounds");
            return false;
        }

        _lastDigit = Math.Min(_lastDigit, Math.Pow(10, exponent - decimals));
        return true;
    }

    private int SkipDigits()
    {
        int start = _at;
        while (_at < _text.Length && char.IsAsciiDigit(_text[_at]))
        {
            _at++;
        }

        return _at - start;
    }

    private int ScanExponent()
    {
        if (_at >= _text.Length || _text[_at] is not ('e' or 'E'))
        {
            return 0;
        }

        int mark = _at++;
        if (_at < _text.Length && _text[_at] is '-' or '+')
        {
            _at++;
        }

        if (SkipDigits() is 0 or > 3)
        {
            _at = mark;
            return 0;
        }

        return int.Parse(
            _text.AsSpan(mark + 1, _at - mark - 1),
            NumberStyles.AllowLeadingSign,
            CultureInfo.InvariantCulture
        );
    }

    /// <summary>Finds a decimal comma or a separator of thousands right after the number.</summary>
    private readonly bool FindForeignSeparator(int start, [NotNullWhen(true)] out Sentence? expected)
    {
        expected = null;
        if (_at + 1 >= _text.Length || !char.IsAsciiDigit(_text[_at + 1]))
        {
            return false;
        }

        char mark = _text[_at];
        if (mark is not (',' or '.' or '\'' or '\u2019' or '\u066B' or '\u066C' or ' '))
        {
            return false;
        }

        string left = _text[start.._at];
        int end = _at + 1;
        while (end < _text.Length && char.IsAsciiDigit(_text[end]))
        {
            end++;
        }

        string right = _text[(_at + 1)..end];
        bool perhapsThousands = right.Length == 3 && !left.Contains('.', StringComparison.Ordinal);
        expected = (mark, perhapsThousands) switch
        {
            (',', true) => Sentence.Of(
                $"{left}{right} if the comma parts thousands, {left}.{right} if it stands before decimals"
            ),
            (',' or '\u066B', false) => Sentence.Of($"{left}.{right} (a point before the decimals)"),
            ('.', _) => Sentence.Of("one decimal point, and nothing between thousands"),
            _ => Sentence.Of($"{left}{right} (nothing between thousands)"),
        };
        return true;
    }

    private void SkipSpaces()
    {
        while (_at < _text.Length && _text[_at] is ' ')
        {
            _at++;
        }
    }

    /// <summary>Passes the first of two units: "40 mg/L – 71 mg/L", "64 degF to 70 degF".</summary>
    private string? SkipUnitBeforeSeparator()
    {
        int start = _at;
        for (int i = start + 1; i < _text.Length; i++)
        {
            if (IsSeparator(i, _text[i - 1] is ' ', out int after) && StartsNumber(after))
            {
                string found = _text[start..i].Trim();
                if (
                    found.Length > 0
                    && !char.IsAsciiDigit(found[0])
                    && found[0] is not ('-' or '–' or '.' or ',')
                )
                {
                    _at = i;
                    return found;
                }

                return null;
            }
        }

        return null;
    }

    private bool TrySeparator()
    {
        int at = _at;
        while (at < _text.Length && _text[at] is ' ')
        {
            at++;
        }

        if (!IsSeparator(at, true, out int after) || !StartsNumber(after))
        {
            return false;
        }

        _at = after;
        return true;
    }

    /// <summary>
    /// Whether a range goes on at a place. A plain hyphen after letters is one only with a space before it,
    /// since units hold hyphens ("NO3-N").
    /// </summary>
    private readonly bool IsSeparator(int at, bool hyphenCounts, out int after)
    {
        after = at;
        if (at >= _text.Length)
        {
            return false;
        }

        ReadOnlySpan<char> rest = _text.AsSpan(at);
        int length =
            rest[0] is '–' or '\u2026' || (rest[0] is '-' && hyphenCounts) ? 1
            : rest.StartsWith("..", StringComparison.Ordinal)
                ? (rest.StartsWith("...", StringComparison.Ordinal) ? 3 : 2)
            : rest.StartsWith("to ", StringComparison.OrdinalIgnoreCase) && hyphenCounts ? 3
            : 0;
        after = at + length;
        while (length > 0 && after < _text.Length && _text[after] is ' ')
        {
            after++;
        }

        return length > 0;
    }

    private readonly bool StartsNumber(int at)
    {
        if (at < _text.Length && _text[at] is '-' or '+')
        {
            at++;
        }

        return at < _text.Length
            && (
                char.IsAsciiDigit(_text[at])
                || (_text[at] is '.' && at + 1 < _text.Length && char.IsAsciiDigit(_text[at + 1]))
            );
    }
}
