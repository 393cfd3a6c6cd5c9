using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Alarms;

/// <summary>When a kind of alarm is raised, for one rig or for all of an organisation.</summary>
public sealed record AlarmRule
{
    public required Guid Id { get; init; }

    /// <summary>What it is for, as one text, so that there is one rule of it.</summary>
    public required string Signature { get; init; }
    public Id<Organisation>? OrganisationId { get; init; }

    /// <summary>The rig that it is for; nothing for all.</summary>
    public Id<Rig>? RigId { get; init; }
    public required AlarmKind Kind { get; init; }

    /// <summary>In the unit of its kind's <see cref="AlarmMeasure"/>.</summary>
    public required double Limit { get; init; }
    public required bool IsOn { get; init; }
    public required bool IsUrgent { get; init; }

    /// <summary>The rule that holds where nobody has set one.</summary>
    public static AlarmRule Usual(AlarmKind kind)
    {
        AlarmMeasure measure = AlarmMeasure.Of(kind);
        return new AlarmRule
        {
            Id = default,
            Signature = "",
            Kind = kind,
            Limit = measure.Usual,
            IsOn = true,
            IsUrgent = measure.IsUsuallyUrgent,
        };
    }

    internal static string SignatureOf(AlarmKind kind, Id<Organisation>? organisation, Id<Rig>? rig) =>
        rig is { } one
            ? FormattableString.Invariant($"{(int)kind}|rig|{one}")
            : FormattableString.Invariant($"{(int)kind}|all|{organisation}");
}

/// <summary>The rules as they are set.</summary>
public sealed class RuleBook(IEnumerable<AlarmRule> stored)
{
    private readonly Dictionary<string, AlarmRule> _stored = stored.ToDictionary(
        r => r.Signature,
        StringComparer.Ordinal
    );

    /// <summary>The rule that holds: the rig's own, else its organisation's, else the usual one.</summary>
    public AlarmRule For(AlarmKind kind, AlarmPlace place) =>
        (place.Rig is { } rig ? _stored.GetValueOrDefault(AlarmRule.SignatureOf(kind, null, rig)) : null)
        ?? _stored.GetValueOrDefault(AlarmRule.SignatureOf(kind, place.Organisation, null))
        ?? AlarmRule.Usual(kind);
}
