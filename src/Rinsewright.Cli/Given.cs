using System.CommandLine;
using System.Globalization;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;

namespace Rinsewright.Cli;

/// <summary>Reads what an option was given, or adds what is wrong with it.</summary>
internal static class Given
{
    /// <summary>A quantity with its unit; nothing when the option was left out or is wrong.</summary>
    public static T? Quantity<T>(string option, string? text, List<InputProblem> problems)
        where T : struct, IQuantity<T>
    {
        if (text is null)
        {
            return null;
        }

        if (QuantityText.TryParseExactly(option, text, out T value, out InputProblem? problem))
        {
            return value;
        }

        problems.Add(problem);
        return null;
    }

    /// <summary>A quantity that is admitted; nothing when the option was left out or is wrong.</summary>
    public static T? Quantity<T>(
        string option,
        string? text,
        Predicate<T> admits,
        Sentence expected,
        List<InputProblem> problems
    )
        where T : struct, IQuantity<T>
    {
        T? value = Quantity<T>(option, text, problems);
        if (value is { } wrong && !admits(wrong))
        {
            problems.Add(new(option, text!, expected));
            return null;
        }

        return value;
    }

    /// <summary>A quantity above zero; nothing when the option was left out or is wrong.</summary>
    public static T? AboveZero<T>(string option, string? text, List<InputProblem> problems)
        where T : struct, IQuantity<T> =>
        Quantity<T>(
            option,
            text,
            q => q.CompareTo(T.FromSI(0)) > 0,
            Sentence.Of($"a {T.Name} above zero"),
            problems
        );

    /// <summary>A problem for each option that was given and means nothing beside the others.</summary>
    /// <param name="line">The command line.</param>
    /// <param name="expected">What would be right.</param>
    /// <param name="options">The options that mean nothing.</param>
    public static IEnumerable<InputProblem> Idle(
        ParseResult line,
        Sentence expected,
        params IEnumerable<Option> options
    ) =>
        options
            .Where(o => line.GetResult(o) is { Implicit: false })
            .Select(o =>
                line.GetResult(o)!.Tokens is { Count: > 0 } tokens
                    ? new InputProblem(o.Name, string.Join(' ', tokens.Select(t => t.Value)), expected)
                    : new InputProblem(o.Name, Sentence.Of("given"), expected)
            );

    /// <summary>Adds problems that were found elsewhere.</summary>
    public static void AddAll(this ProblemList problems, IEnumerable<InputProblem> found)
    {
        foreach (InputProblem problem in found)
        {
            problems.Add(problem);
        }
    }

    /// <summary>A number in a range.</summary>
    public static double Number(
        string option,
        double value,
        double least,
        double most,
        List<InputProblem> problems
    )
    {
        if (!(value >= least && value <= most))
        {
            problems.Add(
                new(option, value.ToString(CultureInfo.InvariantCulture), $"a number from {least} to {most}")
            );
        }

        return value;
    }

    /// <summary>The member of an enumeration that has this name, never its number or several; nothing when there is none.</summary>
    public static T? Word<T>(string text)
        where T : struct, Enum =>
        Enum.GetNames<T>().FirstOrDefault(n => string.Equals(n, text, StringComparison.OrdinalIgnoreCase))
            is { } name
            ? Enum.Parse<T>(name)
            : null;

    /// <summary>One of several things by its word.</summary>
    public static T? OneOf<T>(
        string option,
        string text,
        IReadOnlyList<T> items,
        Func<T, string> word,
        List<InputProblem> problems
    )
        where T : class
    {
        T? item = items.FirstOrDefault(i => string.Equals(word(i), text, StringComparison.OrdinalIgnoreCase));
        if (item is null)
        {
            problems.Add(new(option, text, $"one of {string.Join(", ", items.Select(word))}"));
        }

        return item;
    }

    /// <summary>A change-out line; nothing when the option was left out or is wrong.</summary>
    public static ChangeOutLine? Line(string option, string? text, List<InputProblem> problems)
    {
        if (text is null)
        {
            return null;
        }

        if (ChangeOutLine.TryParse(option, text, out ChangeOutLine? line, out InputProblem? problem))
        {
            return line;
        }

        problems.Add(problem);
        return null;
    }
}
