namespace Rinsewright.Handouts.Charts;

/// <summary>The colour-blind-safe palette of Okabe and Ito (key <c>okabe2008</c>), as web colours.</summary>
public static class Okabe
{
    public const string Black = "#000000";
    public const string Orange = "#e69f00";
    public const string Green = "#009e73";
    public const string Blue = "#0072b2";
    public const string Vermilion = "#d55e00";
    public const string Purple = "#cc79a7";
}
