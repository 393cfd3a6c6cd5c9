using Rinsewright.Quantities;

namespace Rinsewright.Handouts.Plan;

/// <summary>What kind of duty it is; its word is part of the identity of a calendar entry and never changes.</summary>
public enum DutyKind
{
    /// <summary>The last bed, by the forecast.</summary>
    ChangeBed,

    /// <summary>A stage that is changed by the calendar.</summary>
    ChangeStage,

    /// <summary>Flushing.</summary>
    Flush,

    /// <summary>Sanitising.</summary>
    Sanitise,

    /// <summary>O-rings.</summary>
    Seals,

    /// <summary>Draining before frost.</summary>
    Frost,

    /// <summary>Looking for cracks after winter.</summary>
    Thaw,

    /// <summary>Hygiene in the warm months.</summary>
    Warmth,

    /// <summary>Age of the housings.</summary>
    HousingAge,

    /// <summary>A meter against a reference solution.</summary>
    MeterCheck,

    /// <summary>What the owner wrote down.</summary>
    Own,
}

/// <summary>A duty on a day, with what to do and what to mind.</summary>
/// <param name="Kind">What it is.</param>
/// <param name="Of">Id of what it is of: a fill, a stage, a rig, a meter.</param>
/// <param name="On">The day, the first of them where it comes round.</param>
/// <param name="Summary">What is to be done, in a few words.</param>
/// <param name="Text">Why then, and what to mind.</param>
public sealed record Duty(DutyKind Kind, Guid Of, DateOnly On, Sentence Summary, string Text)
{
    /// <summary>Days from one time to the next, if it comes round by days.</summary>
    public int? EveryDays { get; init; }

    /// <summary>Months from one time to the next, if it comes round by months.</summary>
    public int? EveryMonths { get; init; }

    /// <summary>Days before it on which a calendar should remind of it.</summary>
    public int RemindDays { get; init; } = 1;

    /// <summary>Identity in a calendar: the same for the same duty, whenever it is asked for.</summary>
    public string Uid => $"{Kind.ToString().ToLowerInvariant()}-{Of}@rinsewright";
}
