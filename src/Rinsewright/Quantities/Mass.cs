namespace Rinsewright.Quantities;

/// <summary>A mass: of resin, of residue, of goods.</summary>
/// <remarks><c>default</c> is zero.</remarks>
public readonly record struct Mass : IQuantity<Mass>
{
    private const double GramsScale = 0.001;
    private const double MilligramsScale = 1e-6;
    private const double PoundsScale = 0.45359237;
    private const double GrainsScale = 64.79891e-6;

    private Mass(double kilograms) => Kilograms = kilograms;

    /// <summary>Kilograms [kg].</summary>
    public double Kilograms { get; }

    /// <summary>Grams [g].</summary>
    public double Grams => Kilograms / GramsScale;

    /// <summary>Milligrams [mg].</summary>
    public double Milligrams => Kilograms / MilligramsScale;

    /// <summary>Pounds avoirdupois [lb].</summary>
    public double Pounds => Kilograms / PoundsScale;

    /// <summary>Grains, 64.79891 mg [gr].</summary>
    public double Grains => Kilograms / GrainsScale;

    static Sentence IQuantity<Mass>.Name => Sentence.Of("mass");

    static double IQuantity<Mass>.Least => 0;

    static IReadOnlyList<Unit> IQuantity<Mass>.Units { get; } =
    [
        new("kg", 1, "kilogram", "kilograms"),
        new("g", GramsScale, "gram", "grams"),
        new("mg", MilligramsScale, "milligram", "milligrams"),
        new("lb", PoundsScale, "lbs", "pound", "pounds"),
        new("gr", GrainsScale, "grain", "grains"),
    ];

    double IQuantity<Mass>.SI => Kilograms;

    /// <summary>From kilograms [kg].</summary>
    /// <param name="kilograms">The value [kg], not negative.</param>
    public static Mass FromKilograms(double kilograms) => new(Admitted.NotNegative(kilograms));

    /// <summary>From grams [g].</summary>
    /// <param name="grams">The value [g], not negative.</param>
    public static Mass FromGrams(double grams) => new(Admitted.NotNegative(grams) * GramsScale);

    /// <summary>From milligrams [mg].</summary>
    /// <param name="milligrams">The value [mg], not negative.</param>
    public static Mass FromMilligrams(double milligrams) =>
        new(Admitted.NotNegative(milligrams) * MilligramsScale);

    /// <summary>From pounds avoirdupois [lb].</summary>
    /// <param name="pounds">The value [lb], not negative.</param>
    public static Mass FromPounds(double pounds) => new(Admitted.NotNegative(pounds) * PoundsScale);

    /// <summary>From grains, 64.79891 mg [gr].</summary>
    /// <param name="grains">The value [gr], not negative.</param>
    public static Mass FromGrains(double grains) => new(Admitted.NotNegative(grains) * GrainsScale);

    static Mass IQuantity<Mass>.FromSI(double value) => FromKilograms(value);

    /// <summary>Whether the left is less than the right.</summary>
    public static bool operator <(Mass left, Mass right) => left.Kilograms < right.Kilograms;

    /// <summary>Whether the left is more than the right.</summary>
    public static bool operator >(Mass left, Mass right) => left.Kilograms > right.Kilograms;

    /// <summary>Whether the left is not more than the right.</summary>
    public static bool operator <=(Mass left, Mass right) => left.Kilograms <= right.Kilograms;

    /// <summary>Whether the left is not less than the right.</summary>
    public static bool operator >=(Mass left, Mass right) => left.Kilograms >= right.Kilograms;

    /// <inheritdoc/>
    public int CompareTo(Mass other) => Kilograms.CompareTo(other.Kilograms);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "g");
}
