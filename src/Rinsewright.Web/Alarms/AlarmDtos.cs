using System.Globalization;
using Rinsewright.Records.Alarms;

namespace Rinsewright.Web.Alarms;

/// <summary>An alarm.</summary>
/// <param name="Id">Its id; acknowledge it by this.</param>
/// <param name="Kind">line, chance, due, silence, feed or refused.</param>
/// <param name="Rig">Id of the rig, if it is of one.</param>
/// <param name="RigName">Its name.</param>
/// <param name="Device">Id of the device, if it is of one.</param>
/// <param name="DeviceName">Its name.</param>
/// <param name="Urgent">Whether it is urgent.</param>
/// <param name="Seen">What was seen as it was raised, in the unit.</param>
/// <param name="Limit">What that was held against, in the unit.</param>
/// <param name="Unit">The unit of both.</param>
/// <param name="RaisedAt">When it was raised.</param>
/// <param name="ClearedAt">When what it is about was gone; null while it is open.</param>
/// <param name="AcknowledgedAt">When somebody said that they see to it.</param>
/// <param name="AcknowledgedBy">Who.</param>
/// <param name="Note">What they said.</param>
public sealed record AlarmAnswer(
    Guid Id,
    string Kind,
    Guid? Rig,
    string? RigName,
    Guid? Device,
    string? DeviceName,
    bool Urgent,
    double Seen,
    double Limit,
    string Unit,
    DateTimeOffset RaisedAt,
    DateTimeOffset? ClearedAt,
    DateTimeOffset? AcknowledgedAt,
    string? AcknowledgedBy,
    string? Note
)
{
    internal static AlarmAnswer Of(NamedAlarm named)
    {
        Alarm alarm = named.Alarm;
        return new AlarmAnswer(
            alarm.Id,
            AlarmMeasure.Of(alarm.Kind).Word,
            alarm.RigId?.Value,
            named.Rig,
            alarm.DeviceId,
            named.Device,
            alarm.IsUrgent,
            alarm.Seen,
            alarm.Limit,
            alarm.Unit,
            alarm.RaisedAt,
            alarm.ClearedAt,
            alarm.AcknowledgedAt,
            alarm.AcknowledgedBy,
            alarm.Note
        );
    }
}

/// <summary>When a kind of alarm is raised.</summary>
/// <param name="Kind">The kind.</param>
/// <param name="Meaning">What the limit is of.</param>
/// <param name="Rig">Id of the rig that it is for; null for all.</param>
/// <param name="Limit">The limit, in the unit.</param>
/// <param name="Unit">Its unit.</param>
/// <param name="On">Whether such alarms are raised.</param>
/// <param name="Urgent">Whether they are urgent.</param>
/// <param name="Usual">Whether nobody has set it.</param>
public sealed record RuleAnswer(
    string Kind,
    string Meaning,
    Guid? Rig,
    double Limit,
    string Unit,
    bool On,
    bool Urgent,
    bool Usual
)
{
    internal static RuleAnswer Of(AlarmRule rule)
    {
        AlarmMeasure measure = AlarmMeasure.Of(rule.Kind);
        return new RuleAnswer(
            measure.Word,
            measure.Meaning,
            rule.RigId?.Value,
            rule.Limit,
            measure.Unit,
            rule.IsOn,
            rule.IsUrgent,
            rule.Id == default
        );
    }
}

/// <summary>Where alarms go, and how sending there goes.</summary>
/// <param name="Id">Its id; remove it by this. Of MQTT the last level of its topic.</param>
/// <param name="Name">Its name.</param>
/// <param name="Route">mail, webhook or mqtt.</param>
/// <param name="Address">The e-mail address or URL.</param>
/// <param name="Secret">What its messages are signed with, base64; null but in the answer that made it.</param>
/// <param name="UrgentOnly">Whether only urgent alarms go there.</param>
/// <param name="Quiet">Quiet hours, if it has some.</param>
/// <param name="TimeZone">Their time zone.</param>
/// <param name="UrgentBreaksThrough">Whether urgent alarms come in quiet hours, too.</param>
/// <param name="MostPerHour">Messages in an hour at most.</param>
/// <param name="Waiting">Messages that are still to be sent.</param>
/// <param name="LastSentAt">When the last one was sent.</param>
/// <param name="LastProblem">Why the last one was not, if it was not.</param>
/// <param name="GivenUp">Messages that could not be sent within a day.</param>
public sealed record DestinationAnswer(
    Guid Id,
    string Name,
    string Route,
    string Address,
    string? Secret,
    bool UrgentOnly,
    string? Quiet,
    string TimeZone,
    bool UrgentBreaksThrough,
    int MostPerHour,
    int Waiting,
    DateTimeOffset? LastSentAt,
    string? LastProblem,
    int GivenUp
)
{
    internal static DestinationAnswer Of(DestinationState state, string? secret) =>
        new(
            state.Destination.Id,
            state.Destination.Name,
            AlarmDesk.WordOf(state.Destination.Route),
            state.Destination.Address,
            secret,
            state.Destination.IsUrgentOnly,
            QuietOf(state.Destination),
            state.Destination.TimeZone,
            state.Destination.DoesUrgentBreakThrough,
            state.Destination.MostPerHour,
            state.Waiting,
            state.LastSentAt,
            state.LastProblem,
            state.GivenUp
        );

    /// <summary>Quiet hours as they are written.</summary>
    internal static string? QuietOf(AlarmDestination destination) =>
        (destination.QuietFrom, destination.QuietUntil) is ({ } from, { } until)
            ? string.Create(CultureInfo.InvariantCulture, $"{from:HH:mm}-{until:HH:mm}")
            : null;
}
