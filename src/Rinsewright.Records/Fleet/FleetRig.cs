using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Fleet;

/// <summary>
/// One rig on the board: what an operator of many rigs has to know of it, flat, so that a page of ten thousand is one walk along an
/// index. It follows from the record and is written by <see cref="FleetBoard"/> alone.
/// </summary>
public sealed record FleetRig
{
    public required Id<Rig> RigId { get; init; }

    public Id<Organisation>? OrganisationId { get; init; }

    public required string Name { get; init; }

    public string? Site { get; init; }

    public string? Van { get; init; }

    public required string TimeZone { get; init; }

    /// <summary>Name, site and van in capitals, in which a search looks.</summary>
    public required string Sought { get; init; }

    /// <summary>Where it stands among all, by <see cref="FleetRule"/>.</summary>
    public required FleetUrgency Urgency { get; init; }

    /// <summary>Everything that is to be said of it.</summary>
    public required FleetReasons Reasons { get; init; }

    /// <summary>Its place among those as urgent: the earlier, the more urgent.</summary>
    public required DateTimeOffset RankAt { get; init; }

    /// <summary>When time alone makes something else of it; nothing if never.</summary>
    public DateTimeOffset? ChangesAt { get; init; }

    /// <summary>The stage that is changed next.</summary>
    public Id<Stage>? DueStageId { get; init; }

    /// <summary>Its name.</summary>
    public string? DueStage { get; init; }

    /// <summary>The next change-out, as likely before as after; nothing without a forecast, or where it is out of sight.</summary>
    public DateTimeOffset? DueAt { get; init; }

    /// <summary>One time in twenty it is due before.</summary>
    public DateTimeOffset? DueFrom { get; init; }

    /// <summary>One time in twenty it is due after; nothing where that is out of sight.</summary>
    public DateTimeOffset? DueTo { get; init; }

    /// <summary>From when on it is more likely than not that a line is passed.</summary>
    public DateTimeOffset? PastAt { get; init; }

    /// <summary>The moment of the newest forecast of its last bed.</summary>
    public DateTimeOffset? ForecastAt { get; init; }

    /// <summary>When the strength of what leaves it was last read.</summary>
    public DateTimeOffset? ReadAt { get; init; }

    /// <summary>That reading, as written.</summary>
    public string? ReadWritten { get; init; }

    /// <summary>The last reading or draw of any kind.</summary>
    public DateTimeOffset? HeardAt { get; init; }
}

/// <summary>A fill on the board that will have to be changed: a bed, a carbon block or a sediment cartridge.</summary>
public sealed record FleetStage
{
    public required Id<Stage> StageId { get; init; }

    public required Id<Rig> RigId { get; init; }

    public Id<Organisation>? OrganisationId { get; init; }

    public required string Name { get; init; }

    public required StageKind Kind { get; init; }

    /// <summary>What is put in.</summary>
    public required string Medium { get; init; }

    /// <summary>How much of it [m³]; empty for what is counted.</summary>
    public double? Volume_m3 { get; init; }

    /// <summary>The moment of its newest forecast; nothing without one.</summary>
    public DateTimeOffset? ForecastAt { get; init; }

    /// <summary>Quantiles of the days from then to its end [d], as kept.</summary>
    public double?[]? DaysQuantiles_d { get; init; }

    /// <summary>When it is changed by the calendar, even when it is not spent.</summary>
    public DateTimeOffset? ServiceUntil { get; init; }

    /// <summary>When it is due, as likely before as after, or by the calendar if that is sooner.</summary>
    public DateTimeOffset? DueAt { get; init; }

    /// <summary>One time in forty it is due before.</summary>
    public DateTimeOffset? MayBeDueAt { get; init; }

    /// <summary>From when on it is more likely than not past its end: since the forecasts first said so, or the middle of the newest.</summary>
    public DateTimeOffset? PastAt { get; init; }

    /// <summary>Probability that it is past its end at an instant, by the forecast that is kept of it [-].</summary>
    public double? ChanceAt(DateTimeOffset at) =>
        DaysQuantiles_d is { } days && ForecastAt is { } from
            ? KeptQuantiles.ChanceBy(days, (at - from).TotalDays)
            : null;

    /// <summary>Probability that it is to be changed by an instant: past its end, or by the calendar [-].</summary>
    public double ChanceDueBy(DateTimeOffset at) => ServiceUntil <= at ? 1 : ChanceAt(at) ?? 0;
}

/// <summary>How far the board has followed the record.</summary>
public sealed record FleetMark
{
    /// <summary>There is one.</summary>
    public const int Only = 1;

    public int Id { get; init; } = Only;

    /// <summary>Every edit up to this one is on the board.</summary>
    public long Edit { get; init; }

    /// <summary>When all of it was last made anew.</summary>
    public DateTimeOffset? MadeAt { get; init; }
}

/// <summary>How urgent a rig is. Numbers are stored and ordered by: never renumber.</summary>
public enum FleetUrgency
{
    /// <summary>More likely than not a line is passed.</summary>
    PastLine = 1,

    /// <summary>A change-out is due within a week.</summary>
    Due = 2,

    /// <summary>Nothing has been heard of it for a week.</summary>
    Silent = 3,

    /// <summary>It cannot be forecast, or has not been.</summary>
    Unknown = 4,

    /// <summary>Nothing is to be done.</summary>
    Fine = 5,
}

/// <summary>What is to be said of a rig. Numbers are stored: never renumber.</summary>
[Flags]
public enum FleetReasons
{
    None = 0,

    /// <summary>More likely than not a line is passed.</summary>
    PastLine = 1,

    /// <summary>A change-out is due within a week.</summary>
    DueThisWeek = 2,

    /// <summary>Nothing has been heard of it for a week.</summary>
    Silent = 4,

    /// <summary>Neither a reading of the raw water nor its analysis is known.</summary>
    NoWater = 8,

    /// <summary>No bed with a fill is known.</summary>
    NoFill = 16,

    /// <summary>There is no forecast of the fill that is in.</summary>
    NoForecast = 32,
}
