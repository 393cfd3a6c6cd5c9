namespace Rinsewright.Quantities;

/// <summary>Electrical conductivity of water at the temperature it has.</summary>
/// <remarks><c>default</c> is zero. Not to be mixed up with <see cref="SpecificConductance"/>.</remarks>
public readonly record struct Conductivity : IQuantity<Conductivity>
{
    private const double MillisiemensPerMeterScale = 0.001;
    private const double MillisiemensPerCentimeterScale = 0.1;
    private const double MicrosiemensPerCentimeterScale = 1e-4;

    private Conductivity(double siemensPerMeter) => SiemensPerMeter = siemensPerMeter;

    /// <summary>Siemens per meter [S/m].</summary>
    public double SiemensPerMeter { get; }

    /// <summary>Millisiemens per meter [mS/m].</summary>
    public double MillisiemensPerMeter => SiemensPerMeter / MillisiemensPerMeterScale;

    /// <summary>Millisiemens per centimeter [mS/cm].</summary>
    public double MillisiemensPerCentimeter => SiemensPerMeter / MillisiemensPerCentimeterScale;

    /// <summary>Microsiemens per centimeter [µS/cm].</summary>
    public double MicrosiemensPerCentimeter => SiemensPerMeter / MicrosiemensPerCentimeterScale;

    static Sentence IQuantity<Conductivity>.Name => Sentence.Of("conductivity");

    static double IQuantity<Conductivity>.Least => 0;

    static IReadOnlyList<Unit> IQuantity<Conductivity>.Units { get; } =
    [
        new("S/m", 1),
        new("mS/m", MillisiemensPerMeterScale),
        new("mS/cm", MillisiemensPerCentimeterScale),
        new("µS/cm", MicrosiemensPerCentimeterScale, "uS", "umho/cm", "micromho/cm"),
    ];

    double IQuantity<Conductivity>.SI => SiemensPerMeter;

    /// <summary>From siemens per meter [S/m].</summary>
    /// <param name="siemensPerMeter">The value [S/m], not negative.</param>
    public static Conductivity FromSiemensPerMeter(double siemensPerMeter) =>
        new(Admitted.NotNegative(siemensPerMeter));

    /// <summary>From millisiemens per meter [mS/m].</summary>
    /// <param name="millisiemensPerMeter">The value [mS/m], not negative.</param>
    public static Conductivity FromMillisiemensPerMeter(double millisiemensPerMeter) =>
        new(Admitted.NotNegative(millisiemensPerMeter) * MillisiemensPerMeterScale);

    /// <summary>From millisiemens per centimeter [mS/cm].</summary>
    /// <param name="millisiemensPerCentimeter">The value [mS/cm], not negative.</param>
    public static Conductivity FromMillisiemensPerCentimeter(double millisiemensPerCentimeter) =>
        new(Admitted.NotNegative(millisiemensPerCentimeter) * MillisiemensPerCentimeterScale);

    /// <summary>From microsiemens per centimeter [µS/cm].</summary>
    /// <param name="microsiemensPerCentimeter">The value [µS/cm], not negative.</param>
    public static Conductivity FromMicrosiemensPerCentimeter(double microsiemensPerCentimeter) =>
        new(Admitted.NotNegative(microsiemensPerCentimeter) * MicrosiemensPerCentimeterScale);

    static Conductivity IQuantity<Conductivity>.FromSI(double value) => FromSiemensPerMeter(value);

    /// <summary>Whether the left is less than the right.</summary>
    public static bool operator <(Conductivity left, Conductivity right) =>
        left.SiemensPerMeter < right.SiemensPerMeter;

    /// <summary>Whether the left is more than the right.</summary>
    public static bool operator >(Conductivity left, Conductivity right) =>
        left.SiemensPerMeter > right.SiemensPerMeter;

    /// <summary>Whether the left is not more than the right.</summary>
    public static bool operator <=(Conductivity left, Conductivity right) =>
        left.SiemensPerMeter <= right.SiemensPerMeter;

    /// <summary>Whether the left is not less than the right.</summary>
    public static bool operator >=(Conductivity left, Conductivity right) =>
        left.SiemensPerMeter >= right.SiemensPerMeter;

    /// <inheritdoc/>
    public int CompareTo(Conductivity other) => SiemensPerMeter.CompareTo(other.SiemensPerMeter);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "µS/cm");
}
