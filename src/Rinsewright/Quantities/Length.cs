namespace Rinsewright.Quantities;

/// <summary>A length: a diameter, a depth, a height of rise.</summary>
/// <remarks><c>default</c> is zero.</remarks>
public readonly record struct Length : IQuantity<Length>
{
    private const double CentimetersScale = 0.01;
    private const double MillimetersScale = 0.001;
    private const double MicrometersScale = 1e-6;
    private const double InchesScale = 0.0254;
    private const double FeetScale = 0.3048;

    private Length(double meters) => Meters = meters;

    /// <summary>Meters [m].</summary>
    public double Meters { get; }

    /// <summary>Centimeters [cm].</summary>
    public double Centimeters => Meters / CentimetersScale;

    /// <summary>Millimeters [mm].</summary>
    public double Millimeters => Meters / MillimetersScale;

    /// <summary>Micrometers [µm].</summary>
    public double Micrometers => Meters / MicrometersScale;

    /// <summary>Inches, 25.4 mm by definition [in].</summary>
    public double Inches => Meters / InchesScale;

    /// <summary>Feet, 12 in [ft].</summary>
    public double Feet => Meters / FeetScale;

    static Sentence IQuantity<Length>.Name => Sentence.Of("length");

    static double IQuantity<Length>.Least => 0;

    static IReadOnlyList<Unit> IQuantity<Length>.Units { get; } =
    [
        new("m", 1, "meter", "meters", "metre", "metres"),
        new("cm", CentimetersScale, "centimeter", "centimeters"),
        new("mm", MillimetersScale, "millimeter", "millimeters"),
        new("µm", MicrometersScale, "micron", "microns", "micrometer", "micrometers"),
        new("in", InchesScale, "inch", "inches", "\"", "”"),
        new("ft", FeetScale, "foot", "feet", "'", "’"),
    ];

    double IQuantity<Length>.SI => Meters;

    /// <summary>From meters [m].</summary>
    /// <param name="meters">The value [m], not negative.</param>
    public static Length FromMeters(double meters) => new(Admitted.NotNegative(meters));

    /// <summary>From centimeters [cm].</summary>
    /// <param name="centimeters">The value [cm], not negative.</param>
    public static Length FromCentimeters(double centimeters) =>
        new(Admitted.NotNegative(centimeters) * CentimetersScale);

    /// <summary>From millimeters [mm].</summary>
    /// <param name="millimeters">The value [mm], not negative.</param>
    public static Length FromMillimeters(double millimeters) =>
        new(Admitted.NotNegative(millimeters) * MillimetersScale);

    /// <summary>From micrometers [µm].</summary>
    /// <param name="micrometers">The value [µm], not negative.</param>
    public static Length FromMicrometers(double micrometers) =>
        new(Admitted.NotNegative(micrometers) * MicrometersScale);

    /// <summary>From inches, 25.4 mm by definition [in].</summary>
    /// <param name="inches">The value [in], not negative.</param>
    public static Length FromInches(double inches) => new(Admitted.NotNegative(inches) * InchesScale);

    /// <summary>From feet, 12 in [ft].</summary>
    /// <param name="feet">The value [ft], not negative.</param>
    public static Length FromFeet(double feet) => new(Admitted.NotNegative(feet) * FeetScale);

    static Length IQuantity<Length>.FromSI(double value) => FromMeters(value);

    /// <summary>Whether the left is less than the right.</summary>
    public static bool operator <(Length left, Length right) => left.Meters < right.Meters;

    /// <summary>Whether the left is more than the right.</summary>
    public static bool operator >(Length left, Length right) => left.Meters > right.Meters;

    /// <summary>Whether the left is not more than the right.</summary>
    public static bool operator <=(Length left, Length right) => left.Meters <= right.Meters;

    /// <summary>Whether the left is not less than the right.</summary>
    public static bool operator >=(Length left, Length right) => left.Meters >= right.Meters;

    /// <inheritdoc/>
    public int CompareTo(Length other) => Meters.CompareTo(other.Meters);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "mm");
}
