using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Alarms;

/// <summary>What an alarm is about. Numbers are stored: never renumber.</summary>
public enum AlarmKind
{
    /// <summary>The water behind the bed reads at its line or past it.</summary>
    Line = 1,

    /// <summary>By the forecast the line is probably passed.</summary>
    Chance = 2,

    /// <summary>By the forecast the bed is due soon.</summary>
    Due = 3,

    /// <summary>A device has not reported for long.</summary>
    Silence = 4,

    /// <summary>The raw water reads otherwise than it did.</summary>
    Feed = 5,

    /// <summary>Rows of a device are refused.</summary>
    Refused = 6,
}

/// <summary>
/// Something that somebody should know. It is raised once and stays open until what it is about is gone; of one matter there is never
/// more than one open alarm, as the database refuses a second. Alarms stay with the database: an export has none of them.
/// </summary>
public sealed class Alarm
{
    public required Guid Id { get; init; }
    public Id<Organisation>? OrganisationId { get; init; }
    public Id<Rig>? RigId { get; init; }
    public Guid? DeviceId { get; init; }
    public required AlarmKind Kind { get; init; }

    /// <summary>The matter: of what the forecast or a reading says, the fill; of the raw water the rig; else the device.</summary>
    public required Guid Subject { get; init; }
    public required bool IsUrgent { get; init; }

    /// <summary>What was seen as it was raised, in <see cref="Unit"/>.</summary>
    public required double Seen { get; init; }

    /// <summary>What it was held against, in <see cref="Unit"/>.</summary>
    public required double Limit { get; init; }
    public required string Unit { get; init; }
    public required DateTimeOffset RaisedAt { get; init; }
    public DateTimeOffset? ClearedAt { get; set; }
    public DateTimeOffset? AcknowledgedAt { get; set; }
    public string? AcknowledgedBy { get; set; }
    public string? Note { get; set; }
}

/// <summary>What an alarm is of: whose, and of which rig or device.</summary>
public sealed record AlarmPlace(Id<Organisation>? Organisation, Id<Rig>? Rig, Guid? Device);

/// <summary>How one matter stands.</summary>
/// <param name="Place">What it is of.</param>
/// <param name="Kind">Which kind of alarm it would be.</param>
/// <param name="Subject">The matter.</param>
/// <param name="Seen">What is seen, in <paramref name="Unit"/>.</param>
/// <param name="Limit">What it is held against, in <paramref name="Unit"/>.</param>
/// <param name="Unit">The unit of both.</param>
/// <param name="IsUrgent">Whether it would be urgent.</param>
/// <param name="IsPast">Whether an alarm is to be raised, unless one is open.</param>
/// <param name="IsGone">
/// Whether an open alarm is over. Between past and gone lies a band in which neither holds, so that a value near its limit
/// does not raise an alarm again and again.
/// </param>
public sealed record Finding(
    AlarmPlace Place,
    AlarmKind Kind,
    Guid Subject,
    double Seen,
    double Limit,
    string Unit,
    bool IsUrgent,
    bool IsPast,
    bool IsGone
)
{
    /// <summary>A matter judged by a rule, in the rule's own unit.</summary>
    public static Finding Of(AlarmPlace place, AlarmRule rule, Guid subject, double seen)
    {
        AlarmMeasure measure = AlarmMeasure.Of(rule.Kind);
        return new Finding(
            place,
            rule.Kind,
            subject,
            seen,
            rule.Limit,
            measure.Unit,
            rule.IsUrgent,
            rule.IsOn && measure.IsPast(seen, rule.Limit),
            !rule.IsOn || measure.IsGone(seen, rule.Limit)
        );
    }

    /// <summary>Tells that what an open alarm is about is not there any more.</summary>
    public static Finding Over(Alarm alarm) =>
        new(
            new AlarmPlace(alarm.OrganisationId, alarm.RigId, alarm.DeviceId),
            alarm.Kind,
            alarm.Subject,
            alarm.Seen,
            alarm.Limit,
            alarm.Unit,
            alarm.IsUrgent,
            IsPast: false,
            IsGone: true
        );
}
