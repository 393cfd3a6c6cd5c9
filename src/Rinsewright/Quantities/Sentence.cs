using System.Collections.Immutable;
using System.Diagnostics.CodeAnalysis;
using System.Globalization;
using System.Runtime.CompilerServices;
using System.Text;

namespace Rinsewright.Quantities;

/// <summary>
/// A sentence for people: its English text with numbered places, and what stands in them. The two are kept apart, so that whoever
/// shows it can say it in another language and in other units; as it is, it is English.
/// </summary>
public sealed class Sentence : IEquatable<Sentence>
{
    private Sentence(string text, ImmutableArray<object> values)
    {
        Text = text;
        Values = values;
        HasWords = text.Any(char.IsLetter);
    }

    /// <summary>The English text, with <c>{0}</c>, <c>{1}</c> and so on where its values stand.</summary>
    public string Text { get; }

    /// <summary>Its values: quantities, days, sentences within it, or texts that need no other language.</summary>
    public ImmutableArray<object> Values { get; }

    /// <summary>Whether it says anything itself; what only puts its values in a row does not.</summary>
    public bool HasWords { get; }

    /// <summary>A sentence without values.</summary>
    /// <param name="text">The English text, a constant.</param>
    public static Sentence Of([ConstantExpected] string text) => new(Escaped(text), []);

    /// <summary>A sentence with values, written as <c>$"It reads {reading}."</c>.</summary>
    /// <param name="text">The English text with its values.</param>
    public static Sentence Of(SentenceText text) => new(text.Text, text.Values);

    /// <summary>What somebody wrote, or another program said: it has no other language.</summary>
    /// <param name="words">The words.</param>
    public static Sentence Written(string words) => new("{0}", [words]);

    /// <summary>Several sentences in a row.</summary>
    /// <param name="separator">What stands between two of them: a space, or a comma and a space.</param>
    /// <param name="parts">The sentences.</param>
    public static Sentence Join(string separator, params IEnumerable<Sentence> parts)
    {
        ImmutableArray<object> values = [.. parts];
        return new Sentence(
            string.Join(
                Escaped(separator),
                values.Select((_, i) => string.Create(CultureInfo.InvariantCulture, $"{{{i}}}"))
            ),
            values
        );
    }

    /// <summary>The sentence in English.</summary>
    public override string ToString() => string.Format(CultureInfo.InvariantCulture, Text, [.. Values]);

    /// <inheritdoc/>
    public bool Equals(Sentence? other) =>
        other is not null
        && string.Equals(Text, other.Text, StringComparison.Ordinal)
        && (Values.IsEmpty || string.Equals(ToString(), other.ToString(), StringComparison.Ordinal));

    /// <inheritdoc/>
    public override bool Equals(object? obj) => Equals(obj as Sentence);

    /// <inheritdoc/>
    public override int GetHashCode() => StringComparer.Ordinal.GetHashCode(Text);

    internal static string Escaped(string text) =>
        text.Replace("{", "{{", StringComparison.Ordinal).Replace("}", "}}", StringComparison.Ordinal);
}

/// <summary>Takes an interpolated string apart into its text and its values (<see cref="Sentence.Of(SentenceText)"/>).</summary>
[InterpolatedStringHandler]
public readonly ref struct SentenceText
{
    private readonly StringBuilder _text;
    private readonly List<object> _values;

    /// <summary>Called by the compiler.</summary>
    /// <param name="literalLength">Length of what stands between the values.</param>
    /// <param name="formattedCount">Number of values.</param>
    public SentenceText(int literalLength, int formattedCount)
    {
        _text = new StringBuilder(literalLength + (3 * formattedCount));
        _values = new List<object>(formattedCount);
    }

    internal string Text => _text.ToString();

    internal ImmutableArray<object> Values => [.. _values];

    /// <summary>Called by the compiler: what stands between values.</summary>
    /// <param name="value">The text.</param>
    public void AppendLiteral(string value) => _text.Append(Sentence.Escaped(value));

    /// <summary>Called by the compiler: a value as it is.</summary>
    /// <param name="value">The value.</param>
    public void AppendFormatted<T>(T value)
    {
        _text.Append(CultureInfo.InvariantCulture, $"{{{_values.Count}}}");
        _values.Add(value is null ? "" : value);
    }

    /// <summary>Called by the compiler: a value that is written in one way only.</summary>
    /// <param name="value">The value.</param>
    /// <param name="format">How it is written.</param>
    public void AppendFormatted<T>(T value, string? format)
        where T : IFormattable => AppendFormatted(value.ToString(format, CultureInfo.InvariantCulture));
}
