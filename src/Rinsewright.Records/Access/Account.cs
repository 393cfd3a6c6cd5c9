using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Access;

/// <summary>What someone may do with what is an organisation's. Numbers are stored, and each includes those before.</summary>
public enum Right
{
    /// <summary>Sees everything, writes nothing.</summary>
    Read = 1,

    /// <summary>Logs, and edits rigs.</summary>
    Log = 2,

    /// <summary>Everything: people, keys and links too.</summary>
    Manage = 3,
}

/// <summary>Words for rights: of people their role.</summary>
public static class RightText
{
    private static readonly (Right Right, string Role)[] Roles =
    [
        (Right.Read, "viewer"),
        (Right.Log, "technician"),
        (Right.Manage, "owner"),
    ];

    /// <summary>The role that has a right: viewer, technician, owner.</summary>
    public static string Role(this Right right) => Roles.First(r => r.Right == right).Role;

    /// <summary>The right of a role.</summary>
    public static Right? OfRole(string? role) =>
        Roles
            .Where(r => string.Equals(r.Role, role, StringComparison.OrdinalIgnoreCase))
            .Select(r => (Right?)r.Right)
            .FirstOrDefault();

    /// <summary>The right that a program's key is given by its name: read, log, manage.</summary>
    public static Right? Named(string? name) =>
        Enum.GetValues<Right>()
            .Where(r => string.Equals(r.ToString(), name, StringComparison.OrdinalIgnoreCase))
            .Select(r => (Right?)r)
            .FirstOrDefault();
}

/// <summary>
/// Someone who signs in. One account is of one organisation. Accounts, keys and the audit trail stay with the database: an export has
/// none of them.
/// </summary>
public sealed class Account
{
    public required Guid Id { get; init; }

    /// <summary>What they sign in with, and in whose name their edits are; no other account has it.</summary>
    public required string Name { get; set; }

    /// <summary>The same without regard to case.</summary>
    public required string NormalizedName { get; set; }
    public required Id<Organisation> OrganisationId { get; init; }
    public required Right Right { get; set; }

    /// <summary>As the password hasher wrote it; empty for who has none.</summary>
    public string? PasswordHash { get; set; }

    /// <summary>Changes with everything that ends all sessions: a new password, another role, removal.</summary>
    public required string SecurityStamp { get; set; }
    public int FailedTries { get; set; }
    public DateTimeOffset? LockedUntil { get; set; }

    /// <summary>Of an open invitation: the name of its key.</summary>
    public string? InvitationName { get; set; }

    /// <summary>Of an open invitation: the SHA-256 of its secret.</summary>
    public byte[]? InvitationDigest { get; set; }
    public DateTimeOffset? InvitedUntil { get; set; }
    public required DateTimeOffset AddedAt { get; init; }
    public DateTimeOffset? LastSeenAt { get; set; }
    public DateTimeOffset? RemovedAt { get; set; }
}

/// <summary>A passkey of an account (WebAuthn): the public half.</summary>
public sealed class Passkey
{
    public required byte[] CredentialId { get; init; }
    public required Guid AccountId { get; init; }
    public required string Name { get; set; }
    public required byte[] PublicKey { get; init; }
    public required DateTimeOffset AddedAt { get; init; }

    /// <summary>How often it was used, as it counts itself.</summary>
    public required long SignCount { get; set; }

    /// <summary>How it is reached, words separated by spaces.</summary>
    public required string Transports { get; init; }
    public required bool IsUserVerified { get; set; }
    public required bool IsBackupEligible { get; init; }
    public required bool IsBackedUp { get; set; }
    public required byte[] AttestationObject { get; init; }
    public required byte[] ClientData { get; init; }
}

/// <summary>A program's key to the HTTP API.</summary>
public sealed record ApiKey
{
    public required Guid Id { get; init; }
    public required string Name { get; init; }
    public required string KeyName { get; init; }
    public required byte[] KeyDigest { get; init; }
    public required Id<Organisation> OrganisationId { get; init; }
    public required Right Right { get; init; }

    /// <summary>Who made it.</summary>
    public required string AddedBy { get; init; }
    public required DateTimeOffset AddedAt { get; init; }
    public DateTimeOffset? LastUsedAt { get; init; }
    public DateTimeOffset? RevokedAt { get; init; }
}

/// <summary>One thing that was done about people and keys, or tried. Lines are only ever added.</summary>
public sealed record AuditLine
{
    public long Id { get; init; }
    public required DateTimeOffset At { get; init; }
    public Id<Organisation>? OrganisationId { get; init; }

    /// <summary>Who did it, or whose name was given.</summary>
    public required string Who { get; init; }

    /// <summary>What was done, in words.</summary>
    public required string What { get; init; }

    /// <summary>The network address that it came from; empty from the command line.</summary>
    public required string Address { get; init; }
}
