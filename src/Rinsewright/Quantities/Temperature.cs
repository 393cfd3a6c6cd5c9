namespace Rinsewright.Quantities;

/// <summary>A temperature.</summary>
/// <remarks><c>default</c> is 0 K, below the range of every model.</remarks>
public readonly record struct Temperature : IQuantity<Temperature>
{
    private const double FahrenheitDegree = 5.0 / 9;
    private const double ZeroFahrenheit = PhysicalConstants.ZeroCelsius - (32 * FahrenheitDegree);

    private Temperature(double kelvins) => Kelvins = kelvins;

    /// <summary>Kelvins above absolute zero [K].</summary>
    public double Kelvins { get; }

    /// <summary>Degrees Celsius [°C].</summary>
    public double DegreesCelsius => Kelvins - PhysicalConstants.ZeroCelsius;

    /// <summary>Degrees Fahrenheit [°F].</summary>
    public double DegreesFahrenheit => (Kelvins - ZeroFahrenheit) / FahrenheitDegree;

    static Sentence IQuantity<Temperature>.Name => Sentence.Of("temperature");

    static double IQuantity<Temperature>.Least => 0;

    static IReadOnlyList<Unit> IQuantity<Temperature>.Units { get; } =
    [
        new("K", 1, "kelvin", "kelvins"),
        new(
            "°C",
            1,
            PhysicalConstants.ZeroCelsius,
            ["degC", "deg C", "C", "celsius", "degrees celsius", "degree celsius"]
        ),
        new(
            "°F",
            FahrenheitDegree,
            ZeroFahrenheit,
            ["degF", "deg F", "F", "fahrenheit", "degrees fahrenheit", "degree fahrenheit"]
        ),
    ];

    double IQuantity<Temperature>.SI => Kelvins;

    /// <summary>From kelvins [K].</summary>
    /// <param name="kelvins">The value [K], not negative.</param>
    public static Temperature FromKelvins(double kelvins) => new(Admitted.NotNegative(kelvins));

    /// <summary>From degrees Celsius [°C].</summary>
    /// <param name="degreesCelsius">The value [°C], not below absolute zero (−273.15).</param>
    public static Temperature FromDegreesCelsius(double degreesCelsius) =>
        new(
            Admitted.NotBelow(-PhysicalConstants.ZeroCelsius, degreesCelsius) + PhysicalConstants.ZeroCelsius
        );

    /// <summary>From degrees Fahrenheit [°F].</summary>
    /// <param name="degreesFahrenheit">The value [°F], not below absolute zero (−459.67).</param>
    public static Temperature FromDegreesFahrenheit(double degreesFahrenheit) =>
        new(Math.Max(0, (Admitted.NotBelow(-459.67, degreesFahrenheit) * FahrenheitDegree) + ZeroFahrenheit));

    static Temperature IQuantity<Temperature>.FromSI(double value) => FromKelvins(value);

    /// <summary>A temperature moved by a difference; it must not fall below absolute zero.</summary>
    public static Temperature operator +(Temperature left, TemperatureDifference right) =>
        FromKelvins(left.Kelvins + right.Kelvins);

    /// <summary>The difference of two temperatures.</summary>
    public static TemperatureDifference operator -(Temperature left, Temperature right) =>
        TemperatureDifference.FromKelvins(left.Kelvins - right.Kelvins);

    /// <summary>Whether the left is colder than the right.</summary>
    public static bool operator <(Temperature left, Temperature right) => left.Kelvins < right.Kelvins;

    /// <summary>Whether the left is warmer than the right.</summary>
    public static bool operator >(Temperature left, Temperature right) => left.Kelvins > right.Kelvins;

    /// <summary>Whether the left is not warmer than the right.</summary>
    public static bool operator <=(Temperature left, Temperature right) => left.Kelvins <= right.Kelvins;

    /// <summary>Whether the left is not colder than the right.</summary>
    public static bool operator >=(Temperature left, Temperature right) => left.Kelvins >= right.Kelvins;

    /// <inheritdoc/>
    public int CompareTo(Temperature other) => Kelvins.CompareTo(other.Kelvins);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "°C");
}
