namespace Rinsewright.Quantities;

/// <summary>A flow of water by volume.</summary>
/// <remarks><c>default</c> is zero.</remarks>
public readonly record struct VolumeFlow : IQuantity<VolumeFlow>
{
    private const double CubicMetersPerHourScale = 1.0 / 3600;
    private const double LitersPerSecondScale = 0.001;
    private const double LitersPerMinuteScale = 0.001 / 60;
    private const double LitersPerHourScale = 0.001 / 3600;
    private const double UsGallonsPerMinuteScale = 3.785411784e-3 / 60;
    private const double ImperialGallonsPerMinuteScale = 4.54609e-3 / 60;
    private const double UsGallonsPerDayScale = 3.785411784e-3 / 86400;

    private VolumeFlow(double cubicMetersPerSecond) => CubicMetersPerSecond = cubicMetersPerSecond;

    /// <summary>Cubic meters per second [m³/s].</summary>
    public double CubicMetersPerSecond { get; }

    /// <summary>Cubic meters per hour [m³/h].</summary>
    public double CubicMetersPerHour => CubicMetersPerSecond / CubicMetersPerHourScale;

    /// <summary>Liters per second [L/s].</summary>
    public double LitersPerSecond => CubicMetersPerSecond / LitersPerSecondScale;

    /// <summary>Liters per minute [L/min].</summary>
    public double LitersPerMinute => CubicMetersPerSecond / LitersPerMinuteScale;

    /// <summary>Liters per hour [L/h].</summary>
    public double LitersPerHour => CubicMetersPerSecond / LitersPerHourScale;

    /// <summary>US gallons per minute [gpm].</summary>
    public double UsGallonsPerMinute => CubicMetersPerSecond / UsGallonsPerMinuteScale;

    /// <summary>Imperial gallons per minute [imp gpm].</summary>
    public double ImperialGallonsPerMinute => CubicMetersPerSecond / ImperialGallonsPerMinuteScale;

    /// <summary>US gallons per day [gpd].</summary>
    public double UsGallonsPerDay => CubicMetersPerSecond / UsGallonsPerDayScale;

    static Sentence IQuantity<VolumeFlow>.Name => Sentence.Of("flow");

    static double IQuantity<VolumeFlow>.Least => 0;

    static IReadOnlyList<Unit> IQuantity<VolumeFlow>.Units { get; } =
    [
        new("m³/s", 1),
        new("m³/h", CubicMetersPerHourScale, "m3/hr"),
        new("L/s", LitersPerSecondScale),
        new("L/min", LitersPerMinuteScale, "lpm", "L/mn"),
        new("L/h", LitersPerHourScale, "lph", "L/hr"),
        new("gpm", UsGallonsPerMinuteScale, "gal/min", "US gal/min", "us gpm"),
        new("imp gpm", ImperialGallonsPerMinuteScale, "imp gal/min"),
        new("gpd", UsGallonsPerDayScale, "gal/day", "US gal/day", "gal/d"),
    ];

    double IQuantity<VolumeFlow>.SI => CubicMetersPerSecond;

    /// <summary>From cubic meters per second [m³/s].</summary>
    /// <param name="cubicMetersPerSecond">The value [m³/s], not negative.</param>
    public static VolumeFlow FromCubicMetersPerSecond(double cubicMetersPerSecond) =>
        new(Admitted.NotNegative(cubicMetersPerSecond));

    /// <summary>From cubic meters per hour [m³/h].</summary>
    /// <param name="cubicMetersPerHour">The value [m³/h], not negative.</param>
    public static VolumeFlow FromCubicMetersPerHour(double cubicMetersPerHour) =>
        new(Admitted.NotNegative(cubicMetersPerHour) * CubicMetersPerHourScale);

    /// <summary>From liters per second [L/s].</summary>
    /// <param name="litersPerSecond">The value [L/s], not negative.</param>
    public static VolumeFlow FromLitersPerSecond(double litersPerSecond) =>
        new(Admitted.NotNegative(litersPerSecond) * LitersPerSecondScale);

    /// <summary>From liters per minute [L/min].</summary>
    /// <param name="litersPerMinute">The value [L/min], not negative.</param>
    public static VolumeFlow FromLitersPerMinute(double litersPerMinute) =>
        new(Admitted.NotNegative(litersPerMinute) * LitersPerMinuteScale);

    /// <summary>From liters per hour [L/h].</summary>
    /// <param name="litersPerHour">The value [L/h], not negative.</param>
    public static VolumeFlow FromLitersPerHour(double litersPerHour) =>
        new(Admitted.NotNegative(litersPerHour) * LitersPerHourScale);

    /// <summary>From US gallons per minute [gpm].</summary>
    /// <param name="usGallonsPerMinute">The value [gpm], not negative.</param>
    public static VolumeFlow FromUsGallonsPerMinute(double usGallonsPerMinute) =>
        new(Admitted.NotNegative(usGallonsPerMinute) * UsGallonsPerMinuteScale);

    /// <summary>From Imperial gallons per minute [imp gpm].</summary>
    /// <param name="imperialGallonsPerMinute">The value [imp gpm], not negative.</param>
    public static VolumeFlow FromImperialGallonsPerMinute(double imperialGallonsPerMinute) =>
        new(Admitted.NotNegative(imperialGallonsPerMinute) * ImperialGallonsPerMinuteScale);

    /// <summary>From US gallons per day [gpd].</summary>
    /// <param name="usGallonsPerDay">The value [gpd], not negative.</param>
    public static VolumeFlow FromUsGallonsPerDay(double usGallonsPerDay) =>
        new(Admitted.NotNegative(usGallonsPerDay) * UsGallonsPerDayScale);

    static VolumeFlow IQuantity<VolumeFlow>.FromSI(double value) => FromCubicMetersPerSecond(value);

    /// <summary>Volume that passes in a time; the time must not be negative.</summary>
    public static Volume operator *(VolumeFlow flow, TimeSpan time) =>
        Volume.FromCubicMeters(flow.CubicMetersPerSecond * time.TotalSeconds);

    /// <summary>Whether the left is less than the right.</summary>
    public static bool operator <(VolumeFlow left, VolumeFlow right) =>
        left.CubicMetersPerSecond < right.CubicMetersPerSecond;

    /// <summary>Whether the left is more than the right.</summary>
    public static bool operator >(VolumeFlow left, VolumeFlow right) =>
        left.CubicMetersPerSecond > right.CubicMetersPerSecond;

    /// <summary>Whether the left is not more than the right.</summary>
    public static bool operator <=(VolumeFlow left, VolumeFlow right) =>
        left.CubicMetersPerSecond <= right.CubicMetersPerSecond;

    /// <summary>Whether the left is not less than the right.</summary>
    public static bool operator >=(VolumeFlow left, VolumeFlow right) =>
        left.CubicMetersPerSecond >= right.CubicMetersPerSecond;

    /// <inheritdoc/>
    public int CompareTo(VolumeFlow other) => CubicMetersPerSecond.CompareTo(other.CubicMetersPerSecond);

    /// <summary>The value with its unit, whatever the culture.</summary>
    public override string ToString() => QuantityText.Format(this, "L/min");
}
