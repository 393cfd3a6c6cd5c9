using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;

namespace Rinsewright.Records.Logbook;

/// <summary>What a link opens. Numbers are stored: never renumber.</summary>
public enum LinkKind
{
    /// <summary>A page that shows how the rig stands.</summary>
    Page = 1,

    /// <summary>A calendar that is fetched again and again.</summary>
    Calendar = 2,
}

/// <summary>
/// Lets others read of one rig without the passphrase: whoever has the token reads. Only its hash is kept, so that nobody finds the
/// token in the record, an export or a backup. Deleting the entry shuts the link.
/// </summary>
public sealed record ShareLink : Entry<ShareLink>
{
    /// <summary>Days that a page stays open when nothing else is said.</summary>
    public const int UsualDays = 90;

    private const int Token_bytes = 24; // 192 bits

    public required Id<Rig> RigId { get; init; }
    public required LinkKind Kind { get; init; }

    /// <summary>Whom it is for.</summary>
    public required string Name { get; init; }

    /// <summary>SHA-256 of the token, hexadecimal.</summary>
    public required string TokenHash { get; init; }

    /// <summary>It opens nothing from then on; empty for one that stays open until it is revoked.</summary>
    public DateTimeOffset? ExpiresAt
    {
        get;
        init => field = value is { } at ? Instant.Round(at) : null;
    }

    /// <summary>Whether it shows what the rig costs.</summary>
    public bool ShowsCosts { get; init; }

    /// <summary>A new token from the system's randomness, in letters that an address may hold.</summary>
    public static string NewToken() => Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(Token_bytes));

    /// <summary>What is kept of a token.</summary>
    public static string HashOf(string token) =>
        Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(token)));

    /// <summary>The path that a token opens.</summary>
    public static string PathOf(LinkKind kind, string token) =>
        kind is LinkKind.Calendar ? $"/calendar/{token}.ics" : $"/shared/{token}";

    /// <summary>Whether it opens anything at a moment.</summary>
    public bool IsOpenAt(DateTimeOffset at) => !IsDeleted && !(ExpiresAt <= at);

    internal override void Check(ProblemList problems)
    {
        problems.Require(Name.Trim().Length > 0, "link name", $"{Name}", "whom it is for");
        problems.Require(Enum.IsDefined(Kind), "link kind", $"{Kind}", "a known kind of link");
        problems.Require(
            TokenHash.Length == 2 * SHA256.HashSizeInBytes,
            "link hash",
            $"{TokenHash}",
            "a SHA-256 in hexadecimal digits"
        );
    }
}
