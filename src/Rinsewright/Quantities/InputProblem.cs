namespace Rinsewright.Quantities;

/// <summary>Bad input from people or meters.</summary>
/// <param name="Place">Where it stands: a file's property, a column and row, an option.</param>
/// <param name="Text">What was found there.</param>
/// <param name="Expected">What would be right.</param>
public sealed record InputProblem(string Place, string Text, string Expected)
{
    /// <summary>One line: place, text and what would be right.</summary>
    public override string ToString() => $"{Place}: {Text}: {Expected}";
}
