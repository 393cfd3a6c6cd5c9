namespace Rinsewright.Quantities;

/// <summary>Moles of a solute in a volume of water.</summary>
/// <remarks><c>default</c> is zero.</remarks>
public readonly record struct MolarConcentration : IQuantity<MolarConcentration>
{
    private const double MolesPerLiterScale = 1e3;
    private const double MicromolesPerLiterScale = 0.001;

    private MolarConcentration(double molesPerCubicMeter) => MolesPerCubicMeter = molesPerCubicMeter;

    /// <summary>Moles per cubic meter [mol/m³].</summary>
    public double MolesPerCubicMeter { get; }

    /// <summary>Moles per liter [mol/L].</summary>
    public double MolesPerLiter => MolesPerCubicMeter / MolesPerLiterScale;

    /// <summary>Millimoles per liter [mmol/L].</summary>
    public double MillimolesPerLiter => MolesPerCubicMeter;

    /// <summary>Micromoles per liter [µmol/L].</summary>
    public double MicromolesPerLiter => MolesPerCubicMeter / MicromolesPerLiterScale;

    static Sentence IQuantity<MolarConcentration>.Name => Sentence.Of("concentration");

    static double IQuantity<MolarConcentration>.Least => 0;

    static IReadOnlyList<Unit> IQuantity<MolarConcentration>.Units { get; } =
    [
        new("mol/m³", 1),
        new("mol/L", MolesPerLiterScale, "M"),
        new("mmol/L", 1, "mM"),
        new("µmol/L", MicromolesPerLiterScale, "uM"),
    ];

    double IQuantity<MolarConcentration>.SI => MolesPerCubicMeter;

    /// <summary>From moles per cubic meter [mol/m³].</summary>
    /// <param name="molesPerCubicMeter">The value [mol/m³], not negative.</param>
    public static MolarConcentration FromMolesPerCubicMeter(double molesPerCubicMeter) =>
        new(Admitted.NotNegative(molesPerCubicMeter));

    /// <summary>From moles per liter [mol/L].</summary>
    /// <param name="molesPerLiter">The value [mol/L], not negative.</param>
    public static MolarConcentration FromMolesPerLiter(double molesPerLiter) =>
        new(Admitted.NotNegative(molesPerLiter) * MolesPerLiterScale);

    /// <summary>From millimoles per liter [mmol/L].</summary>
    /// <param name="millimolesPerLiter">The value [mmol/L], not negative.</param>
    public static MolarConcentration FromMillimolesPerLiter(double millimolesPerLiter) =>
        new(Admitted.NotNegative(millimolesPerLiter));

    /// <summary>From micromoles per liter [µmol/L].</summary>
    /// <param name="micromolesPerLiter">The value [µmol/L], not negative.</param>
    public static MolarConcentration FromMicromolesPerLiter(double micromolesPerLiter) =>
        new(Admitted.NotNegative(micromolesPerLiter) * MicromolesPerLiterScale);

    static MolarConcentration IQuantity<MolarConcentration>.FromSI(double value) =>
        FromMolesPerCubicMeter(value);

    /// <summary>The same solute counted by mass.</summary>
    /// <param name="molarMass">Molar mass [kg/mol], above zero.</param>
    public MassConcentration ToMass(double molarMass) =>
        MassConcentration.FromKilogramsPerCubicMeter(MolesPerCubicMeter * Admitted.Positive(molarMass));

    /// <summary>The same solute counted in equivalents.</summary>
    /// <param name="equivalentsPerMole">Equivalents in a mole [eq/mol]: the size of the ion's charge.</param>
    public EquivalentConcentration ToEquivalents(double equivalentsPerMole) =>
        EquivalentConcentration.FromEquivalentsPerCubicMeter(
            MolesPerCubicMeter * Admitted.Positive(equivalentsPerMole)
        );

    /// <summary>Whether the left is less than the right.</summary>
    public static bool operator <(MolarConcentration left, MolarConcentration right) =>
        left.MolesPerCubicMeter < right.MolesPerCubicMeter;

    /// <summary>Whether the left is more than the right.</summary>
    public static bool operator >(MolarConcentration left, MolarConcentration right) =>
        left.MolesPerCubicMeter > right.MolesPerCubicMeter;

    /// <summary>Whether the left is not more than the right.</summary>
    public static bool operator <=(MolarConcentration left, MolarConcentration right) =>
        left.MolesPerCubicMeter <= right.MolesPerCubicMeter;

    /// <summary>Whether the left is not less than the right.</summary>
    public static bool operator >=(MolarConcentration left, MolarConcentration right) =>
        left.MolesPerCubicMeter >= right.MolesPerCubicMeter;

    /// <inheritdoc/>
    public int CompareTo(MolarConcentration other) => MolesPerCubicMeter.CompareTo(other.MolesPerCubicMeter);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "mmol/L");
}
