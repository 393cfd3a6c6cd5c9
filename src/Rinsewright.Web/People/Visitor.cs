using System.Globalization;
using System.Security.Claims;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Identity;
using Rinsewright.Records.Access;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Sharing;

namespace Rinsewright.Web.People;

/// <summary>Someone who signed in, or a program that showed its key: who, of which organisation, with what right.</summary>
/// <param name="Account">Id of the account; nothing for a program.</param>
/// <param name="Name">In whose name they write.</param>
/// <param name="Organisation">Whose entries are there for them.</param>
/// <param name="Right">What they may do.</param>
internal sealed record Visitor(Guid? Account, string Name, Id<Organisation> Organisation, Right Right)
{
    private const string OrganisationClaim = "organisation";
    private const string RightClaim = "right";
    private const string SinceClaim = "since";
    private const string StampClaim = "stamp";

    // Someone who has not signed in where people must: no entry belongs to this organisation.
    private static readonly RecordScope Nobody = new(default, "nobody");

    /// <summary>Who asks; nothing when nobody signed in.</summary>
    public static Visitor? Of(HttpContext? http) =>
        http?.User is { Identity.IsAuthenticated: true } user
        && Guid.TryParse(user.FindFirstValue(OrganisationClaim), out Guid organisation)
        && Enum.TryParse(user.FindFirstValue(RightClaim), out Right right)
            ? new Visitor(
                Guid.TryParse(user.FindFirstValue(ClaimTypes.NameIdentifier), out Guid account)
                    ? account
                    : null,
                user.Identity.Name!,
                new Id<Organisation>(organisation),
                right
            )
            : null;

    /// <summary>Whether who asks may log; where nobody signs in, whoever is here may do everything.</summary>
    public static bool MayLog(HttpContext? http) => Of(http) is null or { Right: >= Right.Log };

    /// <summary>Whether who asks may do what an owner does; where nobody signs in, whoever is here may.</summary>
    public static bool MayManage(HttpContext? http) => Of(http) is null or { Right: Right.Manage };

    /// <summary>What of the record is there for a request; nothing when all of it is.</summary>
    public static RecordScope? ScopeOf(HttpContext? http) =>
        http is null || SharedDoor.LinkOf(http) is not null || WithoutPeople.Is(http) ? null
        : Of(http) is { } visitor ? new RecordScope(visitor.Organisation, visitor.Name)
        : Nobody;

    /// <summary>Someone's identity, as their account is now.</summary>
    /// <param name="account">The account.</param>
    /// <param name="since">When they signed in.</param>
    public static ClaimsPrincipal PrincipalOf(Account account, DateTimeOffset since) =>
        Principal(
            IdentityConstants.ApplicationScheme,
            account.Name,
            account.OrganisationId,
            account.Right,
            new Claim(ClaimTypes.NameIdentifier, account.Id.ToString()),
            new Claim(StampClaim, account.SecurityStamp),
            new Claim(SinceClaim, since.ToUnixTimeSeconds().ToString(CultureInfo.InvariantCulture))
        );

    /// <summary>The identity of a program.</summary>
    public static ClaimsPrincipal PrincipalOf(ApiKey key, string scheme) =>
        Principal(scheme, key.Name, key.OrganisationId, key.Right);

    /// <summary>When someone signed in.</summary>
    public static DateTimeOffset? SinceOf(ClaimsPrincipal? user) =>
        long.TryParse(user?.FindFirstValue(SinceClaim), CultureInfo.InvariantCulture, out long since)
            ? DateTimeOffset.FromUnixTimeSeconds(since)
            : null;

    /// <summary>Whether an identity is still what the account says.</summary>
    public static bool IsStill(ClaimsPrincipal user, Account account) =>
        string.Equals(user.FindFirstValue(StampClaim), account.SecurityStamp, StringComparison.Ordinal);

    private static ClaimsPrincipal Principal(
        string scheme,
        string name,
        Id<Organisation> organisation,
        Right right,
        params Claim[] more
    ) =>
        new(
            new ClaimsIdentity(
                [
                    new Claim(ClaimTypes.Name, name),
                    new Claim(OrganisationClaim, organisation.ToString()),
                    new Claim(RightClaim, right.ToString()),
                    .. more,
                ],
                scheme
            )
        );
}

/// <summary>Marks requests to a record that nobody signs in to; where it has not been told, it is taken that people must.</summary>
internal static class WithoutPeople
{
    public static void Mark(HttpContext http) => http.Items[typeof(WithoutPeople)] = true;

    public static bool Is(HttpContext http) => http.Items.ContainsKey(typeof(WithoutPeople));
}
