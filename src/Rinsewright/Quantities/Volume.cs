namespace Rinsewright.Quantities;

/// <summary>A volume of water, of resin or of a housing.</summary>
/// <remarks><c>default</c> is zero.</remarks>
public readonly record struct Volume : IQuantity<Volume>
{
    private const double LitersScale = 0.001;
    private const double MillilitersScale = 1e-6;
    private const double UsGallonsScale = 3.785411784e-3;
    private const double ImperialGallonsScale = 4.54609e-3;
    private const double CubicFeetScale = 0.028316846592;

    private Volume(double cubicMeters) => CubicMeters = cubicMeters;

    /// <summary>Cubic meters [m³].</summary>
    public double CubicMeters { get; }

    /// <summary>Liters [L].</summary>
    public double Liters => CubicMeters / LitersScale;

    /// <summary>Milliliters [mL].</summary>
    public double Milliliters => CubicMeters / MillilitersScale;

    /// <summary>US gallons, 231 cubic inches [US gal].</summary>
    public double UsGallons => CubicMeters / UsGallonsScale;

    /// <summary>Imperial gallons, 4.54609 L [imp gal].</summary>
    public double ImperialGallons => CubicMeters / ImperialGallonsScale;

    /// <summary>Cubic feet [ft³].</summary>
    public double CubicFeet => CubicMeters / CubicFeetScale;

    static Sentence IQuantity<Volume>.Name => Sentence.Of("volume");

    static double IQuantity<Volume>.Least => 0;

    static IReadOnlyList<Unit> IQuantity<Volume>.Units { get; } =
    [
        new("m³", 1, "cubic meter", "cubic meters"),
        new("L", LitersScale, "liter", "liters", "litre", "litres"),
        new("mL", MillilitersScale, "milliliter", "milliliters"),
        new("US gal", UsGallonsScale, "gal", "gallon", "gallons", "us gallon", "us gallons", "gal us", "usg"),
        new("imp gal", ImperialGallonsScale, "imperial gallon", "imperial gallons", "uk gal", "gal imp"),
        new("ft³", CubicFeetScale, "cu ft", "cubic foot", "cubic feet", "cf"),
    ];

    double IQuantity<Volume>.SI => CubicMeters;

    /// <summary>From cubic meters [m³].</summary>
    /// <param name="cubicMeters">The value [m³], not negative.</param>
    public static Volume FromCubicMeters(double cubicMeters) => new(Admitted.NotNegative(cubicMeters));

    /// <summary>From liters [L].</summary>
    /// <param name="liters">The value [L], not negative.</param>
    public static Volume FromLiters(double liters) => new(Admitted.NotNegative(liters) * LitersScale);

    /// <summary>From milliliters [mL].</summary>
    /// <param name="milliliters">The value [mL], not negative.</param>
    public static Volume FromMilliliters(double milliliters) =>
        new(Admitted.NotNegative(milliliters) * MillilitersScale);

    /// <summary>From US gallons, 231 cubic inches [US gal].</summary>
    /// <param name="usGallons">The value [US gal], not negative.</param>
    public static Volume FromUsGallons(double usGallons) =>
        new(Admitted.NotNegative(usGallons) * UsGallonsScale);

    /// <summary>From Imperial gallons, 4.54609 L [imp gal].</summary>
    /// <param name="imperialGallons">The value [imp gal], not negative.</param>
    public static Volume FromImperialGallons(double imperialGallons) =>
        new(Admitted.NotNegative(imperialGallons) * ImperialGallonsScale);

    /// <summary>From cubic feet [ft³].</summary>
    /// <param name="cubicFeet">The value [ft³], not negative.</param>
    public static Volume FromCubicFeet(double cubicFeet) =>
        new(Admitted.NotNegative(cubicFeet) * CubicFeetScale);

    static Volume IQuantity<Volume>.FromSI(double value) => FromCubicMeters(value);

    /// <summary>Sum of two volumes.</summary>
    public static Volume operator +(Volume left, Volume right) => new(left.CubicMeters + right.CubicMeters);

    /// <summary>Time in which a flow fills the volume; the flow must not be zero.</summary>
    public static TimeSpan operator /(Volume volume, VolumeFlow flow) =>
        TimeSpan.FromSeconds(volume.CubicMeters / flow.CubicMetersPerSecond);

    /// <summary>Whether the left is less than the right.</summary>
    public static bool operator <(Volume left, Volume right) => left.CubicMeters < right.CubicMeters;

    /// <summary>Whether the left is more than the right.</summary>
    public static bool operator >(Volume left, Volume right) => left.CubicMeters > right.CubicMeters;

    /// <summary>Whether the left is not more than the right.</summary>
    public static bool operator <=(Volume left, Volume right) => left.CubicMeters <= right.CubicMeters;

    /// <summary>Whether the left is not less than the right.</summary>
    public static bool operator >=(Volume left, Volume right) => left.CubicMeters >= right.CubicMeters;

    /// <inheritdoc/>
    public int CompareTo(Volume other) => CubicMeters.CompareTo(other.CubicMeters);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "L");
}
