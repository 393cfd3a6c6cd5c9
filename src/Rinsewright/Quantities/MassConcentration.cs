namespace Rinsewright.Quantities;

/// <summary>Mass of a solute in a volume of water.</summary>
/// <remarks><c>default</c> is zero.</remarks>
public readonly record struct MassConcentration : IQuantity<MassConcentration>
{
    private const double MilligramsPerLiterScale = 0.001;
    private const double MicrogramsPerLiterScale = 1e-6;
    private const double GrainsPerUsGallonScale = 64.79891e-6 / 3.785411784e-3;

    private MassConcentration(double kilogramsPerCubicMeter) =>
        KilogramsPerCubicMeter = kilogramsPerCubicMeter;

    /// <summary>Kilograms per cubic meter [kg/m³].</summary>
    public double KilogramsPerCubicMeter { get; }

    /// <summary>Grams per liter [g/L].</summary>
    public double GramsPerLiter => KilogramsPerCubicMeter;

    /// <summary>Milligrams per liter; in fresh water one part per million [mg/L].</summary>
    public double MilligramsPerLiter => KilogramsPerCubicMeter / MilligramsPerLiterScale;

    /// <summary>Micrograms per liter; in fresh water one part per thousand million [µg/L].</summary>
    public double MicrogramsPerLiter => KilogramsPerCubicMeter / MicrogramsPerLiterScale;

    /// <summary>Grains per US gallon [gr/gal].</summary>
    public double GrainsPerUsGallon => KilogramsPerCubicMeter / GrainsPerUsGallonScale;

    static Sentence IQuantity<MassConcentration>.Name => Sentence.Of("concentration");

    static double IQuantity<MassConcentration>.Least => 0;

    static IReadOnlyList<Unit> IQuantity<MassConcentration>.Units { get; } =
    [
        new("kg/m³", 1),
        new("g/L", 1),
        new("mg/L", MilligramsPerLiterScale, "ppm", "g/m3"),
        new("µg/L", MicrogramsPerLiterScale, "ppb", "mg/m3"),
        new(
            "gr/gal",
            GrainsPerUsGallonScale,
            "gr/US gal",
            "grain/gal",
            "grains/gal",
            "gpg",
            "grains per gallon",
            "gr per gal"
        ),
    ];

    double IQuantity<MassConcentration>.SI => KilogramsPerCubicMeter;

    /// <summary>From kilograms per cubic meter [kg/m³].</summary>
    /// <param name="kilogramsPerCubicMeter">The value [kg/m³], not negative.</param>
    public static MassConcentration FromKilogramsPerCubicMeter(double kilogramsPerCubicMeter) =>
        new(Admitted.NotNegative(kilogramsPerCubicMeter));

    /// <summary>From grams per liter [g/L].</summary>
    /// <param name="gramsPerLiter">The value [g/L], not negative.</param>
    public static MassConcentration FromGramsPerLiter(double gramsPerLiter) =>
        new(Admitted.NotNegative(gramsPerLiter));

    /// <summary>From milligrams per liter; in fresh water one part per million [mg/L].</summary>
    /// <param name="milligramsPerLiter">The value [mg/L], not negative.</param>
    public static MassConcentration FromMilligramsPerLiter(double milligramsPerLiter) =>
        new(Admitted.NotNegative(milligramsPerLiter) * MilligramsPerLiterScale);

    /// <summary>From micrograms per liter; in fresh water one part per thousand million [µg/L].</summary>
    /// <param name="microgramsPerLiter">The value [µg/L], not negative.</param>
    public static MassConcentration FromMicrogramsPerLiter(double microgramsPerLiter) =>
        new(Admitted.NotNegative(microgramsPerLiter) * MicrogramsPerLiterScale);

    /// <summary>From grains per US gallon [gr/gal].</summary>
    /// <param name="grainsPerUsGallon">The value [gr/gal], not negative.</param>
    public static MassConcentration FromGrainsPerUsGallon(double grainsPerUsGallon) =>
        new(Admitted.NotNegative(grainsPerUsGallon) * GrainsPerUsGallonScale);

    static MassConcentration IQuantity<MassConcentration>.FromSI(double value) =>
        FromKilogramsPerCubicMeter(value);

    /// <summary>The same solute counted in moles.</summary>
    /// <param name="molarMass">Molar mass [kg/mol], above zero.</param>
    public MolarConcentration ToMolar(double molarMass) =>
        MolarConcentration.FromMolesPerCubicMeter(KilogramsPerCubicMeter / Admitted.Positive(molarMass));

    /// <summary>Whether the left is less than the right.</summary>
    public static bool operator <(MassConcentration left, MassConcentration right) =>
        left.KilogramsPerCubicMeter < right.KilogramsPerCubicMeter;

    /// <summary>Whether the left is more than the right.</summary>
    public static bool operator >(MassConcentration left, MassConcentration right) =>
        left.KilogramsPerCubicMeter > right.KilogramsPerCubicMeter;

    /// <summary>Whether the left is not more than the right.</summary>
    public static bool operator <=(MassConcentration left, MassConcentration right) =>
        left.KilogramsPerCubicMeter <= right.KilogramsPerCubicMeter;

    /// <summary>Whether the left is not less than the right.</summary>
    public static bool operator >=(MassConcentration left, MassConcentration right) =>
        left.KilogramsPerCubicMeter >= right.KilogramsPerCubicMeter;

    /// <inheritdoc/>
    public int CompareTo(MassConcentration other) =>
        KilogramsPerCubicMeter.CompareTo(other.KilogramsPerCubicMeter);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "mg/L");
}
