namespace Rinsewright.Quantities;

/// <summary>Total exchange capacity of a resin in a volume of settled bed.</summary>
/// <remarks><c>default</c> is zero.</remarks>
public readonly record struct ExchangeCapacity : IQuantity<ExchangeCapacity>
{
    private const double EquivalentsPerLiterScale = 1e3;
    private const double KilograinsPerCubicFootAsCaCO3Scale = 2 / 100.086 * 64.79891 / 0.028316846592;

    private ExchangeCapacity(double equivalentsPerCubicMeter) =>
        EquivalentsPerCubicMeter = equivalentsPerCubicMeter;

    /// <summary>Equivalents per cubic meter of settled resin [eq/m³].</summary>
    public double EquivalentsPerCubicMeter { get; }

    /// <summary>Equivalents per liter of settled resin [eq/L].</summary>
    public double EquivalentsPerLiter => EquivalentsPerCubicMeter / EquivalentsPerLiterScale;

    /// <summary>Kilograins of calcium carbonate per cubic foot of settled resin [kgr/ft³].</summary>
    public double KilograinsPerCubicFootAsCaCO3 =>
        EquivalentsPerCubicMeter / KilograinsPerCubicFootAsCaCO3Scale;

    static Sentence IQuantity<ExchangeCapacity>.Name => Sentence.Of("exchange capacity");

    static double IQuantity<ExchangeCapacity>.Least => 0;

    static IReadOnlyList<Unit> IQuantity<ExchangeCapacity>.Units { get; } =
    [
        new("eq/m³", 1),
        new("eq/L", EquivalentsPerLiterScale, "meq/mL", "mol/L"),
        new("kgr/ft³", KilograinsPerCubicFootAsCaCO3Scale, "kgr/ft3 as CaCO3", "kgr/cu ft"),
    ];

    double IQuantity<ExchangeCapacity>.SI => EquivalentsPerCubicMeter;

    /// <summary>From equivalents per cubic meter of settled resin [eq/m³].</summary>
    /// <param name="equivalentsPerCubicMeter">The value [eq/m³], not negative.</param>
    public static ExchangeCapacity FromEquivalentsPerCubicMeter(double equivalentsPerCubicMeter) =>
        new(Admitted.NotNegative(equivalentsPerCubicMeter));

    /// <summary>From equivalents per liter of settled resin [eq/L].</summary>
    /// <param name="equivalentsPerLiter">The value [eq/L], not negative.</param>
    public static ExchangeCapacity FromEquivalentsPerLiter(double equivalentsPerLiter) =>
        new(Admitted.NotNegative(equivalentsPerLiter) * EquivalentsPerLiterScale);

    /// <summary>From kilograins of calcium carbonate per cubic foot of settled resin [kgr/ft³].</summary>
    /// <param name="kilograinsPerCubicFootAsCaCO3">The value [kgr/ft³], not negative.</param>
    public static ExchangeCapacity FromKilograinsPerCubicFootAsCaCO3(double kilograinsPerCubicFootAsCaCO3) =>
        new(Admitted.NotNegative(kilograinsPerCubicFootAsCaCO3) * KilograinsPerCubicFootAsCaCO3Scale);

    static ExchangeCapacity IQuantity<ExchangeCapacity>.FromSI(double value) =>
        FromEquivalentsPerCubicMeter(value);

    /// <summary>Whether the left is less than the right.</summary>
    public static bool operator <(ExchangeCapacity left, ExchangeCapacity right) =>
        left.EquivalentsPerCubicMeter < right.EquivalentsPerCubicMeter;

    /// <summary>Whether the left is more than the right.</summary>
    public static bool operator >(ExchangeCapacity left, ExchangeCapacity right) =>
        left.EquivalentsPerCubicMeter > right.EquivalentsPerCubicMeter;

    /// <summary>Whether the left is not more than the right.</summary>
    public static bool operator <=(ExchangeCapacity left, ExchangeCapacity right) =>
        left.EquivalentsPerCubicMeter <= right.EquivalentsPerCubicMeter;

    /// <summary>Whether the left is not less than the right.</summary>
    public static bool operator >=(ExchangeCapacity left, ExchangeCapacity right) =>
        left.EquivalentsPerCubicMeter >= right.EquivalentsPerCubicMeter;

    /// <inheritdoc/>
    public int CompareTo(ExchangeCapacity other) =>
        EquivalentsPerCubicMeter.CompareTo(other.EquivalentsPerCubicMeter);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "eq/L");
}
