using System.Collections.Immutable;
using System.Runtime.InteropServices;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Forecasting;

/// <summary>Which water a reading was taken of.</summary>
public enum ReadingSide
{
    /// <summary>The water before the bed.</summary>
    Inlet,

    /// <summary>The water after it.</summary>
    Outlet,
}

/// <summary>A reading of conductance during the life of a fill.</summary>
/// <param name="Days">Days since the fill went in [d].</param>
/// <param name="Side">Before or after the bed.</param>
/// <param name="Shown">What the meter showed, referred to 25 °C [µS/cm]; the limit when <paramref name="IsBelow"/>.</param>
/// <param name="Resolution">Smallest step of the display [µS/cm].</param>
/// <param name="IsBelow">Whether the meter said only that it is below.</param>
/// <param name="Meter">Which of the case's meters it was.</param>
public sealed record FillReading(
    double Days,
    ReadingSide Side,
    double Shown,
    double Resolution,
    bool IsBelow = false,
    int Meter = 0
)
{
    /// <summary>Flow while it was read, when known.</summary>
    public VolumeFlow? Flow { get; init; }

    /// <summary>Hours that the water had stood before, when known [h].</summary>
    public double? HoursStanding { get; init; }

    /// <summary>Whether the display had stopped moving, when known.</summary>
    public bool? IsSettled { get; init; }
}

/// <summary>Water drawn through the bed, as logged.</summary>
/// <param name="Days">Days since the fill went in [d].</param>
/// <param name="Liters">Volume [L].</param>
/// <param name="Strength">Strength of the source at that time over its usual strength [-].</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct LoggedDraw(double Days, double Liters, double Strength = 1);

/// <summary>
/// What is known of a meter before the readings: it shows gain × truth + offset, the logarithm of the gain and the offset
/// normally distributed.
/// </summary>
/// <param name="Gain">Median gain [-].</param>
/// <param name="GainSd">Standard deviation of its logarithm [-].</param>
/// <param name="Offset">Mean offset [µS/cm].</param>
/// <param name="OffsetSd">Its standard deviation [µS/cm].</param>
public sealed record MeterPrior(
    double Gain = 1,
    double GainSd = 0.03,
    double Offset = 0,
    double OffsetSd = 1
);

/// <summary>How fast water will be drawn.</summary>
/// <param name="LitersPerWeek">Expected rate [L/week].</param>
/// <param name="RelativeSd">Standard deviation of the logarithm of the true mean rate [-].</param>
/// <param name="WeeklySd">Scatter of a week about that mean, as a share of it [-].</param>
public sealed record Usage(double LitersPerWeek, double RelativeSd = 0.15, double WeeklySd = 0.4);

/// <summary>One fill under way, and all that bears on how long it will last. Pure data: no clock, no record.</summary>
public sealed record FillCase
{
    /// <summary>The beds that the fill stands in, in series; usually one.</summary>
    public required ImmutableArray<ExchangeBed> Beds { get; init; }

    /// <summary>Source waters of equal weight.</summary>
    public required ImmutableArray<WaterComposition> Waters { get; init; }

    /// <summary>Usual flow through the bed.</summary>
    public required VolumeFlow Flow { get; init; }

    /// <summary>Water drawn, in the order of time.</summary>
    public ImmutableArray<LoggedDraw> Draws { get; init; } = [];

    /// <summary>Readings, in the order of time.</summary>
    public ImmutableArray<FillReading> Readings { get; init; } = [];

    /// <summary>The meters they were taken with.</summary>
    public ImmutableArray<MeterPrior> Meters { get; init; } = [new MeterPrior()];

    /// <summary>What is known of the stretch before the readings.</summary>
    public StretchPrior Stretch { get; init; } = StretchPrior.Usual;

    /// <summary>Days since the fill went in at the moment of asking [d].</summary>
    public required double Now { get; init; }

    /// <summary>How fast water will be drawn.</summary>
    public required Usage Usage { get; init; }

    /// <summary>Water logged so far [L].</summary>
    public double LoggedLiters => Draws.Where(d => d.Days <= Now).Sum(d => d.Liters);

    internal void Validate()
    {
        if (Beds.IsDefaultOrEmpty || Waters.IsDefaultOrEmpty)
        {
            throw new ArgumentException("A case has at least one bed and one water.", nameof(Beds));
        }

        if (!(Flow.CubicMetersPerSecond > 0))
        {
            throw new ArgumentOutOfRangeException(nameof(Flow), Flow, "The usual flow lies above 0.");
        }

        if (Readings.Any(r => r.Meter < 0 || r.Meter >= Meters.Length))
        {
            throw new ArgumentException("Every reading names one of the meters.", nameof(Readings));
        }

        if (Readings.Any(r => !(r.Shown >= 0) || !(r.Resolution >= 0) || !double.IsFinite(r.Shown)))
        {
            throw new ArgumentException("A reading and its resolution are 0 or more.", nameof(Readings));
        }

        if (Draws.Any(d => !(d.Liters >= 0) || !(d.Strength > 0) || !double.IsFinite(d.Liters)))
        {
            throw new ArgumentException("A draw is 0 or more, its strength above 0.", nameof(Draws));
        }
    }
}
