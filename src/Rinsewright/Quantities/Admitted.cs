using System.Runtime.CompilerServices;

namespace Rinsewright.Quantities;

/// <summary>Refuses numbers that no quantity of the kind can have.</summary>
internal static class Admitted
{
    public static double Finite(double value, [CallerArgumentExpression(nameof(value))] string name = "") =>
        double.IsFinite(value)
            ? value
            : throw new ArgumentOutOfRangeException(name, value, "must be a finite number");

    public static double NotNegative(
        double value,
        [CallerArgumentExpression(nameof(value))] string name = ""
    ) =>
        double.IsFinite(value) && value >= 0
            ? value
            : throw new ArgumentOutOfRangeException(name, value, "must be a finite number, zero or more");

    public static double Positive(double value, [CallerArgumentExpression(nameof(value))] string name = "") =>
        double.IsFinite(value) && value > 0
            ? value
            : throw new ArgumentOutOfRangeException(name, value, "must be a finite number above zero");

    public static double NotBelow(
        double least,
        double value,
        [CallerArgumentExpression(nameof(value))] string name = ""
    ) =>
        double.IsFinite(value) && value >= least
            ? value
            : throw new ArgumentOutOfRangeException(
                name,
                value,
                string.Create(
                    System.Globalization.CultureInfo.InvariantCulture,
                    $"must be a finite number not below {least}"
                )
            );
}
