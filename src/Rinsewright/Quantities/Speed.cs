namespace Rinsewright.Quantities;

/// <summary>A speed: of water in an empty bed, of wind.</summary>
/// <remarks><c>default</c> is zero.</remarks>
public readonly record struct Speed : IQuantity<Speed>
{
    private const double MetersPerHourScale = 1.0 / 3600;
    private const double KilometersPerHourScale = 1 / 3.6;
    private const double FeetPerSecondScale = 0.3048;
    private const double MilesPerHourScale = 0.44704;
    private const double UsGallonsPerMinutePerSquareFootScale = 3.785411784e-3 / 60 / 0.09290304;

    private Speed(double metersPerSecond) => MetersPerSecond = metersPerSecond;

    /// <summary>Meters per second [m/s].</summary>
    public double MetersPerSecond { get; }

    /// <summary>Meters per hour, the usual unit of bed velocity [m/h].</summary>
    public double MetersPerHour => MetersPerSecond / MetersPerHourScale;

    /// <summary>Kilometers per hour [km/h].</summary>
    public double KilometersPerHour => MetersPerSecond / KilometersPerHourScale;

    /// <summary>Feet per second [ft/s].</summary>
    public double FeetPerSecond => MetersPerSecond / FeetPerSecondScale;

    /// <summary>Miles per hour [mph].</summary>
    public double MilesPerHour => MetersPerSecond / MilesPerHourScale;

    /// <summary>US gallons per minute and square foot of bed [gpm/ft²].</summary>
    public double UsGallonsPerMinutePerSquareFoot => MetersPerSecond / UsGallonsPerMinutePerSquareFootScale;

    static Sentence IQuantity<Speed>.Name => Sentence.Of("speed");

    static double IQuantity<Speed>.Least => 0;

    static IReadOnlyList<Unit> IQuantity<Speed>.Units { get; } =
    [
        new("m/s", 1),
        new("m/h", MetersPerHourScale, "m/hr"),
        new("km/h", KilometersPerHourScale, "kph", "kmh"),
        new("ft/s", FeetPerSecondScale, "fps"),
        new("mph", MilesPerHourScale, "mi/h"),
        new("gpm/ft²", UsGallonsPerMinutePerSquareFootScale, "gpm/sq ft"),
    ];

    double IQuantity<Speed>.SI => MetersPerSecond;

    /// <summary>From meters per second [m/s].</summary>
    /// <param name="metersPerSecond">The value [m/s], not negative.</param>
    public static Speed FromMetersPerSecond(double metersPerSecond) =>
        new(Admitted.NotNegative(metersPerSecond));

    /// <summary>From meters per hour, the usual unit of bed velocity [m/h].</summary>
    /// <param name="metersPerHour">The value [m/h], not negative.</param>
    public static Speed FromMetersPerHour(double metersPerHour) =>
        new(Admitted.NotNegative(metersPerHour) * MetersPerHourScale);

    /// <summary>From kilometers per hour [km/h].</summary>
    /// <param name="kilometersPerHour">The value [km/h], not negative.</param>
    public static Speed FromKilometersPerHour(double kilometersPerHour) =>
        new(Admitted.NotNegative(kilometersPerHour) * KilometersPerHourScale);

    /// <summary>From feet per second [ft/s].</summary>
    /// <param name="feetPerSecond">The value [ft/s], not negative.</param>
    public static Speed FromFeetPerSecond(double feetPerSecond) =>
        new(Admitted.NotNegative(feetPerSecond) * FeetPerSecondScale);

    /// <summary>From miles per hour [mph].</summary>
    /// <param name="milesPerHour">The value [mph], not negative.</param>
    public static Speed FromMilesPerHour(double milesPerHour) =>
        new(Admitted.NotNegative(milesPerHour) * MilesPerHourScale);

    /// <summary>From US gallons per minute and square foot of bed [gpm/ft²].</summary>
    /// <param name="usGallonsPerMinutePerSquareFoot">The value [gpm/ft²], not negative.</param>
    public static Speed FromUsGallonsPerMinutePerSquareFoot(double usGallonsPerMinutePerSquareFoot) =>
        new(Admitted.NotNegative(usGallonsPerMinutePerSquareFoot) * UsGallonsPerMinutePerSquareFootScale);

    static Speed IQuantity<Speed>.FromSI(double value) => FromMetersPerSecond(value);

    /// <summary>Whether the left is less than the right.</summary>
    public static bool operator <(Speed left, Speed right) => left.MetersPerSecond < right.MetersPerSecond;

    /// <summary>Whether the left is more than the right.</summary>
    public static bool operator >(Speed left, Speed right) => left.MetersPerSecond > right.MetersPerSecond;

    /// <summary>Whether the left is not more than the right.</summary>
    public static bool operator <=(Speed left, Speed right) => left.MetersPerSecond <= right.MetersPerSecond;

    /// <summary>Whether the left is not less than the right.</summary>
    public static bool operator >=(Speed left, Speed right) => left.MetersPerSecond >= right.MetersPerSecond;

    /// <inheritdoc/>
    public int CompareTo(Speed other) => MetersPerSecond.CompareTo(other.MetersPerSecond);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "m/s");
}
