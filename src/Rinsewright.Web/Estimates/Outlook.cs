using Rinsewright.Quantities;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Trust;

namespace Rinsewright.Web.Estimates;

/// <summary>How urgent a rig is.</summary>
public enum Urgency
{
    /// <summary>Nothing is known of its bed.</summary>
    Unknown,

    /// <summary>Plenty left.</summary>
    Good,

    /// <summary>Due within two weeks, or a fifth of its life is left.</summary>
    Soon,

    /// <summary>The line is passed, more likely than not, or the meter stands at it.</summary>
    Due,
}

/// <summary>
/// What is left in the last bed of a rig: by the forecast where there is one, otherwise by a plain run of the bed model.
/// </summary>
public sealed record Outlook
{
    private const double LitersPerCubicMeter = 1000;
    private const double DaysPerWeek = 7;
    private const int WeeksLookedBack = 8;
    private const int MetersLookedBack_days = 365;
    private const double MostShown = 1.25;

    public required RigHistory History { get; init; }

    public required DateTimeOffset Now { get; init; }

    /// <summary>The life from new; nothing when the water or the bed is not known, or could not be computed.</summary>
    public FillLife? Life { get; init; }

    public LifeQuestion? Question { get; init; }

    /// <summary>The water, completed.</summary>
    public Completed? Water { get; init; }

    /// <summary>The forecast that the figures are of; nothing while there is none.</summary>
    public FillOutlook? Forecast { get; init; }

    /// <summary>Whether a newer forecast is being made.</summary>
    public bool IsSharpening { get; init; }

    /// <summary>Litres left to the line, never below zero [L].</summary>
    public Interval? Left_L { get; init; }

    /// <summary>Litres through the bed in a usual week [L/week]; nothing when none was drawn lately.</summary>
    public Interval? Weekly_L { get; init; }

    /// <summary>Days until the line [d].</summary>
    public Interval? Days { get; init; }

    public Urgency Urgency { get; init; }

    /// <summary>What the figures rest on, in words.</summary>
    public IReadOnlyList<Sentence> Reasons { get; init; } = [];

    /// <summary>What would make the range narrower, or what is missing.</summary>
    public IReadOnlyList<Sentence> Sharpen { get; init; } = [];

    /// <summary>The last bed.</summary>
    public StageHistory? Bed => History.Polisher;

    /// <summary>The fill in it.</summary>
    public FillHistory? Fill => Bed?.FillAt(Now);

    /// <summary>Litres that have passed the bed since it was filled, as logged [L].</summary>
    public double Drawn_L => LitersPerCubicMeter * (Fill?.Drawn_m3 ?? 0);

    /// <summary>Strength readings behind the bed of this fill, oldest first.</summary>
    public IEnumerable<TrustedReading> OutletReads =>
        Bed is { } bed && Fill is { } fill
            ? History
                .StrengthAt(Place.Outlet, bed.Stage.Id)
                .Where(r => fill.WasInAt(r.Reading.At) && r.Reading.At <= Now)
            : [];

    /// <summary>The newest of them.</summary>
    public TrustedReading? LastOutlet => OutletReads.LastOrDefault();

    /// <summary>Water drawn from the rig in a usual week, behind whichever stage [L/week].</summary>
    public double WeeklyAll_L =>
        LitersPerCubicMeter
        * History
            .Draws.Where(d => d.At > Now.AddDays(-DaysPerWeek * WeeksLookedBack) && d.At <= Now)
            .Sum(d => d.Volume_m3)
        / WeeksLookedBack;

    /// <summary>Factor of the meter that is used on the rig, from conductivity to TDS [-].</summary>
    public double MeterFactor => RigBed.MeterFactorOf(History);

    /// <summary>Strength meters that were read on the rig in the last year, each with its verdict.</summary>
    public IEnumerable<(MeterTrust Meter, MeterVerdict Verdict)> Meters =>
        History
            .Readings.Where(r =>
                r.Corrected is not null && (Now - r.Reading.At).TotalDays < MetersLookedBack_days
            )
            .Select(r => r.Reading.MeterId)
            .OfType<Id<Meter>>()
            .Distinct()
            .Select(id => History.Meters[id])
            .Select(m => (m, m.Verdict(Now)));

    /// <summary>The day on which an instant falls where the rig is.</summary>
    public DateOnly Local(DateTimeOffset at) =>
        DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(at, History.Zone).DateTime);

    /// <summary>Probability that the line is passed now; nothing without a forecast [-].</summary>
    public double? PassedNow => Forecast?.Line.PassedNow;

    /// <summary>Share of the fill's life that is over [-], up to a quarter past its end.</summary>
    public double UsedShare =>
        Left_L is { Middle: > 0 and var left } ? Drawn_L / (Drawn_L + left)
        : Life is { } life ? Math.Clamp(Drawn_L / Math.Max(1, life.Liters.Middle), 1, MostShown)
        : 0;

    /// <summary>Washes left; nothing when the record does not say what a wash takes.</summary>
    public Interval? Washes => Forecast?.PerWash_L is > 0 and { } each ? Left_L?.Select(l => l / each) : null;
}
