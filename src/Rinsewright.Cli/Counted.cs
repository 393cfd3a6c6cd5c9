using System.Globalization;

namespace Rinsewright.Cli;

/// <summary>Numbers of things, in words that agree with them.</summary>
internal static class Counted
{
    /// <summary>"1 rig", "2 rigs".</summary>
    /// <param name="count">How many.</param>
    /// <param name="one">What one of them is called.</param>
    /// <param name="many">What several are called, if not the same with an s.</param>
    public static string Of(long count, string one, string? many = null) =>
        $"{count.ToString(CultureInfo.InvariantCulture)} {(count == 1 ? one : many ?? one + "s")}";
}
