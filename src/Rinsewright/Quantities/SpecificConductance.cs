namespace Rinsewright.Quantities;

/// <summary>Electrical conductivity of water referred to 25 °C, as meters with compensation and water reports state it.</summary>
/// <remarks><c>default</c> is zero. Not to be mixed up with <see cref="Conductivity"/>.</remarks>
public readonly record struct SpecificConductance : IQuantity<SpecificConductance>
{
    private const double MillisiemensPerMeterScale = 0.001;
    private const double MillisiemensPerCentimeterScale = 0.1;
    private const double MicrosiemensPerCentimeterScale = 1e-4;

    private SpecificConductance(double siemensPerMeter) => SiemensPerMeter = siemensPerMeter;

    /// <summary>Siemens per meter [S/m].</summary>
    public double SiemensPerMeter { get; }

    /// <summary>Millisiemens per meter [mS/m].</summary>
    public double MillisiemensPerMeter => SiemensPerMeter / MillisiemensPerMeterScale;

    /// <summary>Millisiemens per centimeter [mS/cm].</summary>
    public double MillisiemensPerCentimeter => SiemensPerMeter / MillisiemensPerCentimeterScale;

    /// <summary>Microsiemens per centimeter [µS/cm].</summary>
    public double MicrosiemensPerCentimeter => SiemensPerMeter / MicrosiemensPerCentimeterScale;

    static Sentence IQuantity<SpecificConductance>.Name => Sentence.Of("conductivity at 25 °C");

    static double IQuantity<SpecificConductance>.Least => 0;

    static IReadOnlyList<Unit> IQuantity<SpecificConductance>.Units { get; } =
    [
        new("S/m", 1),
        new("mS/m", MillisiemensPerMeterScale),
        new("mS/cm", MillisiemensPerCentimeterScale),
        new("µS/cm", MicrosiemensPerCentimeterScale, "uS", "umho/cm", "micromho/cm"),
    ];

    double IQuantity<SpecificConductance>.SI => SiemensPerMeter;

    /// <summary>From siemens per meter [S/m].</summary>
    /// <param name="siemensPerMeter">The value [S/m], not negative.</param>
    public static SpecificConductance FromSiemensPerMeter(double siemensPerMeter) =>
        new(Admitted.NotNegative(siemensPerMeter));

    /// <summary>From millisiemens per meter [mS/m].</summary>
    /// <param name="millisiemensPerMeter">The value [mS/m], not negative.</param>
    public static SpecificConductance FromMillisiemensPerMeter(double millisiemensPerMeter) =>
        new(Admitted.NotNegative(millisiemensPerMeter) * MillisiemensPerMeterScale);

    /// <summary>From millisiemens per centimeter [mS/cm].</summary>
    /// <param name="millisiemensPerCentimeter">The value [mS/cm], not negative.</param>
    public static SpecificConductance FromMillisiemensPerCentimeter(double millisiemensPerCentimeter) =>
        new(Admitted.NotNegative(millisiemensPerCentimeter) * MillisiemensPerCentimeterScale);

    /// <summary>From microsiemens per centimeter [µS/cm].</summary>
    /// <param name="microsiemensPerCentimeter">The value [µS/cm], not negative.</param>
    public static SpecificConductance FromMicrosiemensPerCentimeter(double microsiemensPerCentimeter) =>
        new(Admitted.NotNegative(microsiemensPerCentimeter) * MicrosiemensPerCentimeterScale);

    static SpecificConductance IQuantity<SpecificConductance>.FromSI(double value) =>
        FromSiemensPerMeter(value);

    /// <summary>Whether the left is less than the right.</summary>
    public static bool operator <(SpecificConductance left, SpecificConductance right) =>
        left.SiemensPerMeter < right.SiemensPerMeter;

    /// <summary>Whether the left is more than the right.</summary>
    public static bool operator >(SpecificConductance left, SpecificConductance right) =>
        left.SiemensPerMeter > right.SiemensPerMeter;

    /// <summary>Whether the left is not more than the right.</summary>
    public static bool operator <=(SpecificConductance left, SpecificConductance right) =>
        left.SiemensPerMeter <= right.SiemensPerMeter;

    /// <summary>Whether the left is not less than the right.</summary>
    public static bool operator >=(SpecificConductance left, SpecificConductance right) =>
        left.SiemensPerMeter >= right.SiemensPerMeter;

    /// <inheritdoc/>
    public int CompareTo(SpecificConductance other) => SiemensPerMeter.CompareTo(other.SiemensPerMeter);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "µS/cm");
}
