using System.Diagnostics.CodeAnalysis;

namespace Rinsewright.Quantities;

/// <summary>Bad input from people or meters.</summary>
/// <param name="Place">Where it stands: a file's property, a column and row, an option.</param>
/// <param name="Text">What was found there: what somebody wrote, or in words of its own that nothing was.</param>
/// <param name="Expected">What would be right.</param>
public sealed record InputProblem(string Place, Sentence Text, Sentence Expected)
{
    /// <summary>What somebody wrote, and what would be right.</summary>
    /// <param name="place">Where it stands.</param>
    /// <param name="text">What was written there.</param>
    /// <param name="expected">What would be right, a constant.</param>
    public InputProblem(string place, string text, [ConstantExpected] string expected)
        : this(place, Sentence.Written(text), Sentence.Of(expected)) { }

    /// <summary>What somebody wrote, and what would be right with its values.</summary>
    /// <param name="place">Where it stands.</param>
    /// <param name="text">What was written there.</param>
    /// <param name="expected">What would be right.</param>
    public InputProblem(string place, string text, SentenceText expected)
        : this(place, Sentence.Written(text), Sentence.Of(expected)) { }

    /// <summary>What somebody wrote, and what would be right.</summary>
    /// <param name="place">Where it stands.</param>
    /// <param name="text">What was written there.</param>
    /// <param name="expected">What would be right.</param>
    public InputProblem(string place, string text, Sentence expected)
        : this(place, Sentence.Written(text), expected) { }

    /// <summary>What was found in words of the program's own, and what would be right.</summary>
    /// <param name="place">Where it stands.</param>
    /// <param name="text">What was found there.</param>
    /// <param name="expected">What would be right, a constant.</param>
    public InputProblem(string place, Sentence text, [ConstantExpected] string expected)
        : this(place, text, Sentence.Of(expected)) { }

    /// <summary>What was found in words of the program's own, and what would be right with its values.</summary>
    /// <param name="place">Where it stands.</param>
    /// <param name="text">What was found there.</param>
    /// <param name="expected">What would be right.</param>
    public InputProblem(string place, Sentence text, SentenceText expected)
        : this(place, text, Sentence.Of(expected)) { }

    /// <summary>One line: place, text and what would be right.</summary>
    public override string ToString() => $"{Place}: {Text}: {Expected}";
}
