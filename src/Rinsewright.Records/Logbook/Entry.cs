using System.Diagnostics.CodeAnalysis;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Text.Json.Serialization;
using Rinsewright.Quantities;

namespace Rinsewright.Records.Logbook;

/// <summary>
/// One thing written in the record, in one version. Entries are never removed: an edit makes the next
/// version, a deletion is a version with <see cref="IsDeleted"/> set, and earlier versions stay readable.
/// </summary>
/// <remarks>
/// Names of properties are names of columns, JSON keys and CSV headers: a double says its unit after an
/// underscore (<c>Volume_m3</c> is the column <c>volume_m3</c>), SI throughout. Beside it, a property that
/// ends in <c>Written</c> keeps the text a person wrote.
/// </remarks>
public abstract record Entry
{
    /// <summary>The id without its kind.</summary>
    [JsonIgnore]
    public abstract Guid Key { get; }

    /// <summary>1 for the first version; 0 before it is first written. Set by the store.</summary>
    public int Version { get; init; }

    /// <summary>Number of the edit that wrote this version. Set by the store.</summary>
    public long EditNumber { get; init; }

    public bool IsDeleted { get; init; }

    /// <summary>Adds what is wrong with this entry to <paramref name="problems"/>.</summary>
    internal virtual void Check(ProblemList problems) { }

    /// <summary>The entry as one of an organisation, unless it says whose it is or belongs to what it refers to.</summary>
    internal virtual Entry In(Id<Organisation> organisation) => this;
}

/// <summary>An entry that knows its own kind.</summary>
public abstract record Entry<TSelf> : Entry
    where TSelf : Entry<TSelf>
{
    public required Id<TSelf> Id { get; init; }

    [JsonIgnore]
    public sealed override Guid Key => Id.Value;
}

/// <summary>What one person did at one moment, and why; it wrote one version of each entry it touched.</summary>
public sealed record Edit
{
    /// <summary>Author of what the program writes without being asked.</summary>
    public const string OfItself = "Rinsewright";

    /// <summary>Position in the history: edits are ordered by this, never by the clock.</summary>
    public long Number { get; init; }

    /// <summary>What the clock said.</summary>
    public DateTimeOffset At
    {
        get;
        init => field = Instant.Round(value);
    }

    /// <summary>Who did it.</summary>
    public required string Author { get; init; }

    /// <summary>Why, in the person's words; may be empty.</summary>
    public required string Reason { get; init; }

    /// <summary>Given by the sender so that sending twice writes once.</summary>
    public Guid IdempotencyKey { get; init; }

    /// <summary>The edit that this one takes back, if it is an undo or a redo.</summary>
    public long? Undoes { get; init; }

    /// <summary>Whose entries it wrote, if the record is kept for several.</summary>
    public Id<Organisation>? OrganisationId { get; init; }
}

/// <summary>Collects every problem instead of stopping at the first.</summary>
public sealed class ProblemList
{
    private readonly List<InputProblem> _problems = [];

    public IReadOnlyList<InputProblem> Problems => _problems;

    public void Add(InputProblem problem) => _problems.Add(problem);

    public void Add(string place, string text, [ConstantExpected] string expected) =>
        Add(new InputProblem(place, text, expected));

    public void Add(string place, string text, SentenceText expected) =>
        Add(new InputProblem(place, text, expected));

    public void Add(string place, string text, Sentence expected) =>
        Add(new InputProblem(place, text, expected));

    /// <summary>Adds a problem unless <paramref name="holds"/>; the text is put together only then.</summary>
    public void Require(
        bool holds,
        string place,
        [InterpolatedStringHandlerArgument(nameof(holds))] ref ProblemText text,
        [ConstantExpected] string expected
    )
    {
        if (!holds)
        {
            Add(new InputProblem(place, text.ToSentence(), expected));
        }
    }

    /// <summary>Adds a problem unless <paramref name="holds"/>; the texts are put together only then.</summary>
    public void Require(
        bool holds,
        string place,
        [InterpolatedStringHandlerArgument(nameof(holds))] ref ProblemText text,
        [InterpolatedStringHandlerArgument(nameof(holds))] ref ProblemText expected
    )
    {
        if (!holds)
        {
            Add(new InputProblem(place, text.ToSentence(), expected.ToSentence()));
        }
    }

    /// <summary>Adds a problem unless <paramref name="holds"/>; the text is put together only then.</summary>
    public void Require(
        bool holds,
        string place,
        [InterpolatedStringHandlerArgument(nameof(holds))] ref ProblemText text,
        Sentence expected
    )
    {
        if (!holds)
        {
            Add(new InputProblem(place, text.ToSentence(), expected));
        }
    }
}

/// <summary>Text of a problem with its values apart; costs nothing when there is no problem.</summary>
[InterpolatedStringHandler]
[StructLayout(LayoutKind.Auto)]
public readonly ref struct ProblemText
{
    private readonly SentenceText _text;

    /// <summary>Called by the compiler.</summary>
    public ProblemText(int literalLength, int formattedCount, bool holds, out bool isNeeded)
    {
        isNeeded = !holds;
        _text = holds ? default : new SentenceText(literalLength, formattedCount);
    }

    public void AppendLiteral(string value) => _text.AppendLiteral(value);

    public void AppendFormatted<T>(T value) => _text.AppendFormatted(value);

    public void AppendFormatted<T>(T value, string? format)
        where T : IFormattable => _text.AppendFormatted(value, format);

    /// <summary>What was found: a value alone is what somebody wrote, words are the program's own.</summary>
    public Sentence ToSentence() => Sentence.Of(_text);
}
