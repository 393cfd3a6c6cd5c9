namespace Rinsewright.Handouts;

/// <summary>How a range reads whose ends may lie beyond what was computed.</summary>
public static class OpenRange
{
    /// <summary>Where no finite number is to be had.</summary>
    public const string Beyond = "beyond what was computed";

    /// <summary>The range in words: "700 to 900", "700 or more".</summary>
    /// <param name="low">Its lower end; not finite when even that lies beyond.</param>
    /// <param name="high">Its upper end; not finite when it lies beyond.</param>
    /// <param name="number">Writes a finite number.</param>
    /// <param name="between">What stands between two ends.</param>
    public static string Of(double low, double high, Func<double, string> number, string between = " to ") =>
        !double.IsFinite(low) ? Beyond
        : !double.IsFinite(high) ? $"{number(low)} or more"
        : $"{number(low)}{between}{number(high)}";
}
