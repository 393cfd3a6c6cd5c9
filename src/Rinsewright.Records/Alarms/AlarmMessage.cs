using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Alarms;

/// <summary>How an alarm is brought to somebody. Numbers are stored: never renumber.</summary>
public enum DeliveryRoute
{
    /// <summary>An e-mail.</summary>
    Mail = 1,

    /// <summary>A request to an address of theirs.</summary>
    Webhook = 2,

    /// <summary>A message at the broker that devices publish to, too.</summary>
    Mqtt = 3,
}

/// <summary>Where an organisation's alarms go.</summary>
public sealed record AlarmDestination
{
    /// <summary>Messages that one destination gets in an hour, unless somebody says otherwise (our choice).</summary>
    public const int UsualMostPerHour = 20;

    public required Guid Id { get; init; }
    public Id<Organisation>? OrganisationId { get; init; }
    public required string Name { get; init; }
    public required DeliveryRoute Route { get; init; }

    /// <summary>An e-mail address or a URL; empty for MQTT, whose topic follows from the id.</summary>
    public required string Address { get; init; }

    /// <summary>Of a webhook: what its messages are signed with.</summary>
    public byte[]? Secret { get; init; }

    /// <summary>Whether only urgent alarms go there.</summary>
    public required bool IsUrgentOnly { get; init; }
    public TimeOnly? QuietFrom { get; init; }
    public TimeOnly? QuietUntil { get; init; }

    /// <summary>The time zone of the quiet hours.</summary>
    public required string TimeZone { get; init; }

    /// <summary>Whether urgent alarms come in quiet hours, too.</summary>
    public required bool DoesUrgentBreakThrough { get; init; }
    public required int MostPerHour { get; init; }
    public required DateTimeOffset AddedAt { get; init; }
    public DateTimeOffset? RemovedAt { get; init; }

    /// <summary>Its quiet hours, if it has some.</summary>
    public QuietHours? Quiet =>
        (QuietFrom, QuietUntil) is ({ } from, { } until)
        && TimeZoneInfo.TryFindSystemTimeZoneById(TimeZone, out TimeZoneInfo? zone)
            ? new QuietHours(from, until, zone)
            : null;
}

/// <summary>A message that is to be brought to a destination at least once. Its id names it there, so that it can be told twice.</summary>
public sealed class AlarmMessage
{
    public required Guid Id { get; init; }
    public required Guid DestinationId { get; init; }
    public required DateTimeOffset CreatedAt { get; init; }

    /// <summary>When it is to be sent, or tried again.</summary>
    public required DateTimeOffset DueAt { get; init; }

    /// <summary>Whether it is held back, so that more is told with it.</summary>
    public required bool IsHeld { get; init; }

    /// <summary>Goes up with each change, so that nothing is added to a message that is being sent.</summary>
    public int Revision { get; set; }

    /// <summary>Until when one sender has it to itself.</summary>
    public DateTimeOffset? ClaimedUntil { get; init; }
    public int Tries { get; init; }
    public string? LastProblem { get; init; }
    public DateTimeOffset? SentAt { get; init; }
    public DateTimeOffset? GivenUpAt { get; init; }

    /// <summary>When the link in it was used to acknowledge.</summary>
    public DateTimeOffset? LinkUsedAt { get; set; }
}

/// <summary>What a message tells of an alarm.</summary>
public sealed record AlarmPart
{
    public required Guid MessageId { get; init; }
    public required Guid AlarmId { get; init; }

    /// <summary>Whether it was cleared; else it was raised.</summary>
    public required bool IsCleared { get; init; }
}
