using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Ingest;

/// <summary>
/// Something that reports by itself, with the key it shows. It may report on one rig or on all rigs of one organisation.
/// Devices and what they deliver stay with the database: an export has the entries made of it, never a key.
/// </summary>
public sealed record Device
{
    public required Guid Id { get; init; }
    public required string Name { get; init; }

    /// <summary>The part of its key that is no secret, by which it is found.</summary>
    public required string KeyName { get; init; }

    /// <summary>SHA-256 of the secret part. The secret is 256 random bits, so that no slower digest is needed.</summary>
    public required byte[] KeyDigest { get; init; }
    public Id<Rig>? RigId { get; init; }
    public Id<Organisation>? OrganisationId { get; init; }

    /// <summary>Pulses of its water meter in a litre; empty when it has none.</summary>
    public double? PulsesPerLiter { get; init; }

    /// <summary>Count at which its counter starts again at 0; empty when it never does.</summary>
    public long? CounterSize { get; init; }

    /// <summary>How long no pulse may come within one draw [s].</summary>
    public required double Pause_s { get; init; }

    /// <summary>How much time of a sampled channel becomes one reading [s].</summary>
    public required double Interval_s { get; init; }
    public required DateTimeOffset AddedAt { get; init; }
    public DateTimeOffset? RevokedAt { get; init; }
    public DateTimeOffset? LastHeardAt { get; init; }
}

/// <summary>What a row is. Numbers are stored: never renumber.</summary>
public enum RowKind
{
    /// <summary>A reading to be kept as it is.</summary>
    Reading = 1,

    /// <summary>One value of a channel that is cleaned and condensed to readings.</summary>
    Sample = 2,

    /// <summary>What the counter of a water meter with pulses shows; condensed to draws.</summary>
    Count = 3,
}

/// <summary>One thing that a device reports again and again, at one place of a rig.</summary>
public sealed record DeviceChannel
{
    public long Id { get; init; }
    public required Guid DeviceId { get; init; }

    /// <summary>Everything below as one text, so that there is one channel of it.</summary>
    public required string Signature { get; init; }
    public required RowKind Kind { get; init; }
    public required Id<Rig> RigId { get; init; }
    public required Place Place { get; init; }
    public Id<Stage>? StageId { get; init; }
    public Id<Meter>? MeterId { get; init; }
    public Measurand? Measurand { get; init; }

    /// <summary>The unit in which it was first reported.</summary>
    public required string Unit { get; init; }

    /// <summary>The earliest row that no entry has been made of; empty when there is none.</summary>
    public DateTimeOffset? DirtyFrom { get; set; }

    /// <summary>When entries can be made of it.</summary>
    public DateTimeOffset? DueAt { get; set; }

    /// <summary>Goes up with each change, so that two processes notice each other.</summary>
    public long Revision { get; set; }
}

/// <summary>A row that was kept, as it came.</summary>
public sealed record ReceivedRow
{
    public long Id { get; init; }
    public required Guid DeviceId { get; init; }
    public required long ChannelId { get; init; }

    /// <summary>Number of the device's start; its sequence begins anew with each.</summary>
    public int Boot { get; init; }
    public long? Sequence { get; init; }

    /// <summary>The instant by the device's own clock.</summary>
    public required DateTimeOffset DeviceAt { get; init; }

    /// <summary>The same by the clock of this program, as far as it is known.</summary>
    public required DateTimeOffset At { get; init; }

    /// <summary>The value in the SI unit of the channel's measurand; of a counter its count.</summary>
    public required double Value { get; init; }

    /// <summary>Water temperature stated beside it [K].</summary>
    public double? Temperature_K { get; init; }

    /// <summary>Flow stated beside it [m³/s].</summary>
    public double? Flow_m3_s { get; init; }
    public required DateTimeOffset ReceivedAt { get; init; }
}

/// <summary>A row that was refused, and why. The same row refused again is counted, not kept twice.</summary>
public sealed record RefusedRow
{
    public long Id { get; init; }
    public required Guid DeviceId { get; init; }

    /// <summary>SHA-256 of <see cref="Text"/> and <see cref="Reason"/>.</summary>
    public required byte[] Digest { get; init; }
    public required string Text { get; init; }
    public required string Reason { get; init; }
    public int Boot { get; init; }

    /// <summary>Its number, as far as it has one, so that it is not counted as missing.</summary>
    public long? Sequence { get; init; }
    public required DateTimeOffset FirstAt { get; init; }
    public required DateTimeOffset LastAt { get; set; }
    public required long Times { get; set; }
}

/// <summary>Which entry was made of a stretch of a channel.</summary>
public sealed record DerivedEntry
{
    public required long ChannelId { get; init; }
    public required DateTimeOffset StartsAt { get; init; }
    public required Guid Key { get; init; }
}
