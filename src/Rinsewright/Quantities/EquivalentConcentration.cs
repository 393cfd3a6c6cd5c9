namespace Rinsewright.Quantities;

/// <summary>Equivalents (moles of charge) in a volume of water: hardness, alkalinity, the sum of the cations.</summary>
/// <remarks><c>default</c> is zero. "As CaCO3" is a way to write equivalents, 100.086 g of calcium carbonate for two of them, and never a stored basis.</remarks>
public readonly record struct EquivalentConcentration : IQuantity<EquivalentConcentration>
{
    private const double EquivalentsPerLiterScale = 1e3;
    private const double MicroequivalentsPerLiterScale = 0.001;
    private const double MilligramsPerLiterAsCaCO3Scale = 2 / 100.086;
    private const double GrainsPerUsGallonAsCaCO3Scale = 2 / 100.086 * 64.79891 / 3.785411784;
    private const double GermanDegreesScale = 2 * 10 / 56.077;
    private const double FrenchDegreesScale = 2 * 10 / 100.086;
    private const double ClarkDegreesScale = 2 / 100.086 * 64.79891 / 4.54609;

    private EquivalentConcentration(double equivalentsPerCubicMeter) =>
        EquivalentsPerCubicMeter = equivalentsPerCubicMeter;

    /// <summary>Equivalents per cubic meter [eq/m³].</summary>
    public double EquivalentsPerCubicMeter { get; }

    /// <summary>Equivalents per liter [eq/L].</summary>
    public double EquivalentsPerLiter => EquivalentsPerCubicMeter / EquivalentsPerLiterScale;

    /// <summary>Milliequivalents per liter [meq/L].</summary>
    public double MilliequivalentsPerLiter => EquivalentsPerCubicMeter;

    /// <summary>Microequivalents per liter [µeq/L].</summary>
    public double MicroequivalentsPerLiter => EquivalentsPerCubicMeter / MicroequivalentsPerLiterScale;

    /// <summary>Milligrams of calcium carbonate per liter [mg/L as CaCO3].</summary>
    public double MilligramsPerLiterAsCaCO3 => EquivalentsPerCubicMeter / MilligramsPerLiterAsCaCO3Scale;

    /// <summary>Grains of calcium carbonate per US gallon [gr/gal as CaCO3].</summary>
    public double GrainsPerUsGallonAsCaCO3 => EquivalentsPerCubicMeter / GrainsPerUsGallonAsCaCO3Scale;

    /// <summary>German degrees of hardness: 10 mg of CaO (56.077 g/mol) per liter [°dH].</summary>
    public double GermanDegrees => EquivalentsPerCubicMeter / GermanDegreesScale;

    /// <summary>French degrees of hardness: 10 mg of CaCO3 per liter [°fH].</summary>
    public double FrenchDegrees => EquivalentsPerCubicMeter / FrenchDegreesScale;

    /// <summary>English (Clark) degrees of hardness: one grain of CaCO3 per imperial gallon [°e].</summary>
    public double ClarkDegrees => EquivalentsPerCubicMeter / ClarkDegreesScale;

    static Sentence IQuantity<EquivalentConcentration>.Name => Sentence.Of("concentration");

    static double IQuantity<EquivalentConcentration>.Least => 0;

    static IReadOnlyList<Unit> IQuantity<EquivalentConcentration>.Units { get; } =
    [
        new("eq/m³", 1),
        new("eq/L", EquivalentsPerLiterScale),
        new("meq/L", 1, "mval/L"),
        new("µeq/L", MicroequivalentsPerLiterScale),
        new("mg/L as CaCO3", MilligramsPerLiterAsCaCO3Scale, "ppm as CaCO3"),
        new("gr/gal as CaCO3", GrainsPerUsGallonAsCaCO3Scale, "gpg as CaCO3"),
        new("°dH", GermanDegreesScale, "dH", "°dGH", "dGH", "deg dH", "°d"),
        new("°fH", FrenchDegreesScale, "fH", "°f", "°TH", "deg fH"),
        new("°e", ClarkDegreesScale, "°Clark", "Clark", "deg Clark", "°eH", "degree Clark", "degrees Clark"),
    ];

    double IQuantity<EquivalentConcentration>.SI => EquivalentsPerCubicMeter;

    /// <summary>From equivalents per cubic meter [eq/m³].</summary>
    /// <param name="equivalentsPerCubicMeter">The value [eq/m³], not negative.</param>
    public static EquivalentConcentration FromEquivalentsPerCubicMeter(double equivalentsPerCubicMeter) =>
        new(Admitted.NotNegative(equivalentsPerCubicMeter));

    /// <summary>From equivalents per liter [eq/L].</summary>
    /// <param name="equivalentsPerLiter">The value [eq/L], not negative.</param>
    public static EquivalentConcentration FromEquivalentsPerLiter(double equivalentsPerLiter) =>
        new(Admitted.NotNegative(equivalentsPerLiter) * EquivalentsPerLiterScale);

    /// <summary>From milliequivalents per liter [meq/L].</summary>
    /// <param name="milliequivalentsPerLiter">The value [meq/L], not negative.</param>
    public static EquivalentConcentration FromMilliequivalentsPerLiter(double milliequivalentsPerLiter) =>
        new(Admitted.NotNegative(milliequivalentsPerLiter));

    /// <summary>From microequivalents per liter [µeq/L].</summary>
    /// <param name="microequivalentsPerLiter">The value [µeq/L], not negative.</param>
    public static EquivalentConcentration FromMicroequivalentsPerLiter(double microequivalentsPerLiter) =>
        new(Admitted.NotNegative(microequivalentsPerLiter) * MicroequivalentsPerLiterScale);

    /// <summary>From milligrams of calcium carbonate per liter [mg/L as CaCO3].</summary>
    /// <param name="milligramsPerLiterAsCaCO3">The value [mg/L as CaCO3], not negative.</param>
    public static EquivalentConcentration FromMilligramsPerLiterAsCaCO3(double milligramsPerLiterAsCaCO3) =>
        new(Admitted.NotNegative(milligramsPerLiterAsCaCO3) * MilligramsPerLiterAsCaCO3Scale);

    /// <summary>From grains of calcium carbonate per US gallon [gr/gal as CaCO3].</summary>
    /// <param name="grainsPerUsGallonAsCaCO3">The value [gr/gal as CaCO3], not negative.</param>
    public static EquivalentConcentration FromGrainsPerUsGallonAsCaCO3(double grainsPerUsGallonAsCaCO3) =>
        new(Admitted.NotNegative(grainsPerUsGallonAsCaCO3) * GrainsPerUsGallonAsCaCO3Scale);

    /// <summary>From German degrees of hardness: 10 mg of CaO (56.077 g/mol) per liter [°dH].</summary>
    /// <param name="germanDegrees">The value [°dH], not negative.</param>
    public static EquivalentConcentration FromGermanDegrees(double germanDegrees) =>
        new(Admitted.NotNegative(germanDegrees) * GermanDegreesScale);

    /// <summary>From French degrees of hardness: 10 mg of CaCO3 per liter [°fH].</summary>
    /// <param name="frenchDegrees">The value [°fH], not negative.</param>
    public static EquivalentConcentration FromFrenchDegrees(double frenchDegrees) =>
        new(Admitted.NotNegative(frenchDegrees) * FrenchDegreesScale);

    /// <summary>From English (Clark) degrees of hardness: one grain of CaCO3 per imperial gallon [°e].</summary>
    /// <param name="clarkDegrees">The value [°e], not negative.</param>
    public static EquivalentConcentration FromClarkDegrees(double clarkDegrees) =>
        new(Admitted.NotNegative(clarkDegrees) * ClarkDegreesScale);

    static EquivalentConcentration IQuantity<EquivalentConcentration>.FromSI(double value) =>
        FromEquivalentsPerCubicMeter(value);

    /// <summary>The same equivalents counted in moles of one ion.</summary>
    /// <param name="equivalentsPerMole">Equivalents in a mole [eq/mol]: the size of the ion's charge.</param>
    public MolarConcentration ToMolar(double equivalentsPerMole) =>
        MolarConcentration.FromMolesPerCubicMeter(
            EquivalentsPerCubicMeter / Admitted.Positive(equivalentsPerMole)
        );

    /// <summary>Whether the left is less than the right.</summary>
    public static bool operator <(EquivalentConcentration left, EquivalentConcentration right) =>
        left.EquivalentsPerCubicMeter < right.EquivalentsPerCubicMeter;

    /// <summary>Whether the left is more than the right.</summary>
    public static bool operator >(EquivalentConcentration left, EquivalentConcentration right) =>
        left.EquivalentsPerCubicMeter > right.EquivalentsPerCubicMeter;

    /// <summary>Whether the left is not more than the right.</summary>
    public static bool operator <=(EquivalentConcentration left, EquivalentConcentration right) =>
        left.EquivalentsPerCubicMeter <= right.EquivalentsPerCubicMeter;

    /// <summary>Whether the left is not less than the right.</summary>
    public static bool operator >=(EquivalentConcentration left, EquivalentConcentration right) =>
        left.EquivalentsPerCubicMeter >= right.EquivalentsPerCubicMeter;

    /// <inheritdoc/>
    public int CompareTo(EquivalentConcentration other) =>
        EquivalentsPerCubicMeter.CompareTo(other.EquivalentsPerCubicMeter);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "meq/L");
}
