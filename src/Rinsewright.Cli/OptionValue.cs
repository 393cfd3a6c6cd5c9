using System.CommandLine.Parsing;
using System.Globalization;
using Rinsewright.Quantities;

namespace Rinsewright.Cli;

/// <summary>Reads numbers and days of the command line as written: a comma is never a separator of thousands.</summary>
internal static class OptionValue
{
    private static readonly Sentence Number = Sentence.Of("a number with a point, such as 9.5");
    private static readonly Sentence Day = Sentence.Of("a day such as 2026-03-01");

    /// <summary>What reads values of a type; nothing where the usual reader does.</summary>
    public static Func<ArgumentResult, T?>? ReaderOf<T>()
    {
        Type type = Nullable.GetUnderlyingType(typeof(T)) ?? typeof(T);
        return type == typeof(double) ? result => Read<T, double>(result, Number, TryNumber)
            : type == typeof(decimal)
                ? result =>
                    Read<T, decimal>(
                        result,
                        Number,
                        (string text, out decimal value) =>
                            decimal.TryParse(
                                text,
                                NumberStyles.Float,
                                CultureInfo.InvariantCulture,
                                out value
                            )
                    )
            : type == typeof(DateOnly)
                ? result =>
                    Read<T, DateOnly>(
                        result,
                        Day,
                        (string text, out DateOnly value) =>
                            DateOnly.TryParseExact(
                                text,
                                "yyyy-MM-dd",
                                CultureInfo.InvariantCulture,
                                DateTimeStyles.None,
                                out value
                            )
                    )
            : null;
    }

    /// <summary>The problem that a reader of this class found, at the name of its option; nothing for errors of other kinds.</summary>
    public static InputProblem? ProblemOf(ParseError error)
    {
        (string? place, IReadOnlyList<Token> tokens) = error.SymbolResult switch
        {
            OptionResult option => (option.Option.Name, option.Tokens),
            ArgumentResult argument => (argument.Argument.Name, argument.Tokens),
            _ => (null, []),
        };
        Sentence? expected = new[] { Number, Day }.FirstOrDefault(s =>
            string.Equals(s.ToString(), error.Message, StringComparison.Ordinal)
        );
        return place is null || expected is null
            ? null
            : new InputProblem(place, string.Join(' ', tokens.Select(t => t.Value)), expected);
    }

    private delegate bool Reader<T>(string text, out T value);

    private static T? Read<T, TRead>(ArgumentResult result, Sentence expected, Reader<TRead> reader)
    {
        if (result.Tokens is [var token] && reader(token.Value, out TRead value))
        {
            return (T?)(object?)value;
        }

        result.AddError(expected.ToString());
        return default;
    }

    private static bool TryNumber(string text, out double value) =>
        double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out value)
        && double.IsFinite(value);
}
