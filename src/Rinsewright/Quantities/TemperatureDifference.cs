namespace Rinsewright.Quantities;

/// <summary>A difference of two temperatures; it may be negative.</summary>
/// <remarks><c>default</c> is zero.</remarks>
public readonly record struct TemperatureDifference : IQuantity<TemperatureDifference>
{
    private const double FahrenheitDegreesScale = 5.0 / 9;

    private TemperatureDifference(double kelvins) => Kelvins = kelvins;

    /// <summary>Kelvins, equal to degrees Celsius of difference [K].</summary>
    public double Kelvins { get; }

    /// <summary>Fahrenheit degrees of difference [degF].</summary>
    public double FahrenheitDegrees => Kelvins / FahrenheitDegreesScale;

    static Sentence IQuantity<TemperatureDifference>.Name => Sentence.Of("temperature difference");

    static double IQuantity<TemperatureDifference>.Least => double.NegativeInfinity;

    static IReadOnlyList<Unit> IQuantity<TemperatureDifference>.Units { get; } =
    [new("K", 1, "degC", "Cdeg", "C"), new("degF", FahrenheitDegreesScale, "Fdeg", "F")];

    double IQuantity<TemperatureDifference>.SI => Kelvins;

    /// <summary>From kelvins, equal to degrees Celsius of difference [K].</summary>
    /// <param name="kelvins">The value [K].</param>
    public static TemperatureDifference FromKelvins(double kelvins) => new(Admitted.Finite(kelvins));

    /// <summary>From Fahrenheit degrees of difference [degF].</summary>
    /// <param name="fahrenheitDegrees">The value [degF].</param>
    public static TemperatureDifference FromFahrenheitDegrees(double fahrenheitDegrees) =>
        new(Admitted.Finite(fahrenheitDegrees) * FahrenheitDegreesScale);

    static TemperatureDifference IQuantity<TemperatureDifference>.FromSI(double value) => FromKelvins(value);

    /// <summary>Whether the left is less than the right.</summary>
    public static bool operator <(TemperatureDifference left, TemperatureDifference right) =>
        left.Kelvins < right.Kelvins;

    /// <summary>Whether the left is more than the right.</summary>
    public static bool operator >(TemperatureDifference left, TemperatureDifference right) =>
        left.Kelvins > right.Kelvins;

    /// <summary>Whether the left is not more than the right.</summary>
    public static bool operator <=(TemperatureDifference left, TemperatureDifference right) =>
        left.Kelvins <= right.Kelvins;

    /// <summary>Whether the left is not less than the right.</summary>
    public static bool operator >=(TemperatureDifference left, TemperatureDifference right) =>
        left.Kelvins >= right.Kelvins;

    /// <inheritdoc/>
    public int CompareTo(TemperatureDifference other) => Kelvins.CompareTo(other.Kelvins);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "K");
}
