namespace Rinsewright.Quantities;

/// <summary>A pressure above or below the air around, or a difference of pressures; so it may be negative.</summary>
/// <remarks><c>default</c> is zero.</remarks>
public readonly record struct Pressure : IQuantity<Pressure>
{
    private const double KilopascalsScale = 1e3;
    private const double MegapascalsScale = 1e6;
    private const double BarsScale = 1e5;
    private const double MillibarsScale = 100;
    private const double PoundsPerSquareInchScale = 6894.757293168361;

    private Pressure(double pascals) => Pascals = pascals;

    /// <summary>Pascals [Pa].</summary>
    public double Pascals { get; }

    /// <summary>Kilopascals [kPa].</summary>
    public double Kilopascals => Pascals / KilopascalsScale;

    /// <summary>Megapascals [MPa].</summary>
    public double Megapascals => Pascals / MegapascalsScale;

    /// <summary>Bars [bar].</summary>
    public double Bars => Pascals / BarsScale;

    /// <summary>Millibars [mbar].</summary>
    public double Millibars => Pascals / MillibarsScale;

    /// <summary>Pounds-force per square inch [psi].</summary>
    public double PoundsPerSquareInch => Pascals / PoundsPerSquareInchScale;

    static Sentence IQuantity<Pressure>.Name => Sentence.Of("pressure");

    static double IQuantity<Pressure>.Least => double.NegativeInfinity;

    static IReadOnlyList<Unit> IQuantity<Pressure>.Units { get; } =
    [
        new("Pa", 1, "pascal", "pascals"),
        new("kPa", KilopascalsScale),
        new("MPa", MegapascalsScale),
        new("bar", BarsScale, "bars"),
        new("mbar", MillibarsScale, "hPa"),
        new("psi", PoundsPerSquareInchScale, "lbf/in2", "lb/in2", "psig"),
    ];

    double IQuantity<Pressure>.SI => Pascals;

    /// <summary>From pascals [Pa].</summary>
    /// <param name="pascals">The value [Pa].</param>
    public static Pressure FromPascals(double pascals) => new(Admitted.Finite(pascals));

    /// <summary>From kilopascals [kPa].</summary>
    /// <param name="kilopascals">The value [kPa].</param>
    public static Pressure FromKilopascals(double kilopascals) =>
        new(Admitted.Finite(kilopascals) * KilopascalsScale);

    /// <summary>From megapascals [MPa].</summary>
    /// <param name="megapascals">The value [MPa].</param>
    public static Pressure FromMegapascals(double megapascals) =>
        new(Admitted.Finite(megapascals) * MegapascalsScale);

    /// <summary>From bars [bar].</summary>
    /// <param name="bars">The value [bar].</param>
    public static Pressure FromBars(double bars) => new(Admitted.Finite(bars) * BarsScale);

    /// <summary>From millibars [mbar].</summary>
    /// <param name="millibars">The value [mbar].</param>
    public static Pressure FromMillibars(double millibars) =>
        new(Admitted.Finite(millibars) * MillibarsScale);

    /// <summary>From pounds-force per square inch [psi].</summary>
    /// <param name="poundsPerSquareInch">The value [psi].</param>
    public static Pressure FromPoundsPerSquareInch(double poundsPerSquareInch) =>
        new(Admitted.Finite(poundsPerSquareInch) * PoundsPerSquareInchScale);

    static Pressure IQuantity<Pressure>.FromSI(double value) => FromPascals(value);

    /// <summary>Whether the left is less than the right.</summary>
    public static bool operator <(Pressure left, Pressure right) => left.Pascals < right.Pascals;

    /// <summary>Whether the left is more than the right.</summary>
    public static bool operator >(Pressure left, Pressure right) => left.Pascals > right.Pascals;

    /// <summary>Whether the left is not more than the right.</summary>
    public static bool operator <=(Pressure left, Pressure right) => left.Pascals <= right.Pascals;

    /// <summary>Whether the left is not less than the right.</summary>
    public static bool operator >=(Pressure left, Pressure right) => left.Pascals >= right.Pascals;

    /// <inheritdoc/>
    public int CompareTo(Pressure other) => Pascals.CompareTo(other.Pascals);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "bar");
}
