using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Access;

/// <summary>What came of inviting someone.</summary>
/// <param name="Account">The account; nothing when it was refused.</param>
/// <param name="Key">What opens the invitation; it is told once, here.</param>
/// <param name="Problems">Why it was refused.</param>
public sealed record Invitation(Account? Account, string? Key, IReadOnlyList<InputProblem> Problems);

/// <summary>
/// The people who may sign in. There are none at first, and then nobody has to; the first is an owner, and from then on everyone
/// has to. Each change writes its line of the audit trail with it.
/// </summary>
public sealed class PeopleRegister(LogbookStore store)
{
    /// <summary>How long an invitation stays open (our choice).</summary>
    public static readonly TimeSpan InvitationIsOpen = TimeSpan.FromDays(3);

    private const int LongestName = 60;

    // People are never taken out of the table: once there are some, nobody has to ask again.
    private bool _are;

    /// <summary>Whether there are people, so that everyone has to sign in.</summary>
    public async ValueTask<bool> AreThereAsync(CancellationToken cancel)
    {
        if (!_are)
        {
            await using LogbookContext context = store.Read();
            _are = await context.Set<Account>().IgnoreQueryFilters().AnyAsync(cancel);
        }

        return _are;
    }

    /// <summary>Everyone, by name, with their organisation; those who were removed too.</summary>
    public async Task<IReadOnlyList<(Account Account, string Organisation)>> ListAsync(
        CancellationToken cancel
    )
    {
        await using LogbookContext context = store.Read();
        Dictionary<Id<Organisation>, string> organisations = await context
            .Set<Organisation>()
            .AsNoTracking()
            .ToDictionaryAsync(o => o.Id, o => o.Name, cancel);
        List<Account> accounts = await context
            .Set<Account>()
            .AsNoTracking()
            .OrderBy(a => a.NormalizedName)
            .ToListAsync(cancel);
        return [.. accounts.Select(a => (a, organisations[a.OrganisationId]))];
    }

    /// <summary>
    /// Invites someone new. The first of all must be an owner: what is written and belongs to nobody is then of that organisation.
    /// </summary>
    /// <param name="name">What they sign in with.</param>
    /// <param name="right">What they may do.</param>
    /// <param name="organisation">Name of their organisation, made if there is none of that name; the only one if not said.</param>
    /// <param name="actor">Who invites.</param>
    /// <param name="cancel">Stops it.</param>
    public async Task<Invitation> InviteAsync(
        string name,
        Right right,
        string? organisation,
        Actor actor,
        CancellationToken cancel
    )
    {
        var problems = new ProblemList();
        name = name.Trim();
        EntryCheck.Text("name", name, problems);
        problems.Require(
            name.Length is > 0 and <= LongestName && !name.Any(char.IsControl),
            "name",
            $"{name}",
            "1 to 60 characters"
        );
        string normalized = Normalized(name);
        Organisation? whose;
        await using (LogbookContext context = store.Read())
        {
            problems.Require(
                !await context
                    .Set<Account>()
                    .IgnoreQueryFilters()
                    .AnyAsync(a => a.NormalizedName == normalized, cancel),
                "name",
                $"{name}",
                "a name that nobody has or had"
            );
            List<Organisation> known = await context.Live<Organisation>().ToListAsync(cancel);
            List<Organisation> meant =
            [
                .. known.Where(o =>
                    organisation is null
                    || string.Equals(o.Name, organisation.Trim(), StringComparison.OrdinalIgnoreCase)
                ),
            ];
            whose = meant is [var only] ? only : null;
            problems.Require(
                whose is not null || (organisation is not null && store.Scope is null),
                "organisation",
                $"{organisation}",
                known.Count == 0
                    ? Sentence.Of("the name of your firm or club")
                    : Sentence.Of($"one of {string.Join(", ", known.Select(o => o.Name))}")
            );
            problems.Require(
                right is Right.Manage
                    || (
                        whose is not null
                        && await context.Set<Account>().AnyAsync(a => a.OrganisationId == whose.Id, cancel)
                    ),
                "role",
                $"{right.Role()}",
                "owner: the first of an organisation is one"
            );
        }

        if (problems.Problems.Count > 0)
        {
            return new Invitation(null, null, problems.Problems);
        }

        bool isFirst = !await AreThereAsync(cancel);
        if (whose is null)
        {
            whose = new Organisation { Id = store.Ids.Next<Organisation>(), Name = organisation!.Trim() };
            WriteOutcome made = await store.WriteAsync(new EditDraft(actor.Who), [whose], cancel);
            if (made.Edit is null)
            {
                return new Invitation(null, null, made.Problems);
            }
        }

        Id<Organisation> owner = whose.Id;
        if (isFirst && await AdoptAsync(owner, actor, cancel) is { Count: > 0 } refused)
        {
            return new Invitation(null, null, refused);
        }

        SecretKey key = SecretKey.New(out string told);
        var account = new Account
        {
            Id = store.Ids.Next(),
            Name = name,
            NormalizedName = normalized,
            OrganisationId = owner,
            Right = right,
            SecurityStamp = NewStamp(),
            InvitationName = key.Name,
            InvitationDigest = key.Digest,
            InvitedUntil = Instant.Now(store.Clock) + InvitationIsOpen,
            AddedAt = Instant.Now(store.Clock),
        };
        await store.TransactAsync(
            async (context, _) =>
            {
                if (isFirst)
                {
                    await context
                        .Edits.Where(e => e.OrganisationId == null)
                        .ExecuteUpdateAsync(e => e.SetProperty(x => x.OrganisationId, owner), cancel);
                    await AlarmDesk.AdoptAsync(context, owner, cancel);
                }

                context.Add(account);
                context.Add(AuditTrail.Line(actor, $"invited {name} as {right.Role()}", owner, store.Clock));
                return 0;
            },
            cancel
        );
        return new Invitation(account, told, []);
    }

    /// <summary>
    /// Invites someone again, who lost the link, the password or the passkey: the invitation before, the password and all sessions end.
    /// </summary>
    public async Task<Invitation> InviteAgainAsync(string name, Actor actor, CancellationToken cancel)
    {
        SecretKey key = SecretKey.New(out string told);
        (Account? account, IReadOnlyList<InputProblem> problems) = await ChangeAsync(
            name,
            actor,
            staysOwner: true,
            found => $"invited {found.Name} again",
            found =>
            {
                found.PasswordHash = null;
                found.InvitationName = key.Name;
                found.InvitationDigest = key.Digest;
                found.InvitedUntil = Instant.Now(store.Clock) + InvitationIsOpen;
            },
            cancel
        );
        return account is null ? new Invitation(null, null, problems) : new Invitation(account, told, []);
    }

    /// <summary>Gives someone another role; their sessions end. Nothing is wrong when the list is empty.</summary>
    public async Task<IReadOnlyList<InputProblem>> SetRightAsync(
        string name,
        Right right,
        Actor actor,
        CancellationToken cancel
    ) =>
        (
            await ChangeAsync(
                name,
                actor,
                staysOwner: right is Right.Manage,
                found => $"made {found.Name} {right.Role()}",
                found => found.Right = right,
                cancel
            )
        ).Problems;

    /// <summary>Takes someone's account away; their sessions end, what they wrote stays in their name.</summary>
    public async Task<IReadOnlyList<InputProblem>> RemoveAsync(
        string name,
        Actor actor,
        CancellationToken cancel
    ) =>
        (
            await ChangeAsync(
                name,
                actor,
                staysOwner: false,
                found => $"removed {found.Name}",
                found =>
                {
                    found.RemovedAt = Instant.Now(store.Clock);
                    found.PasswordHash = null;
                    found.InvitationName = null;
                    found.InvitationDigest = null;
                },
                cancel
            )
        ).Problems;

    /// <summary>The account that an open invitation is for; nothing when it never was, was used or has run out.</summary>
    public async Task<Account?> InvitedAsync(string? key, CancellationToken cancel)
    {
        if (SecretKey.Read(key) is not { } shown)
        {
            return null;
        }

        await using LogbookContext context = store.Read();
        Account? account = await context
            .Set<Account>()
            .AsNoTracking()
            .FirstOrDefaultAsync(a => a.InvitationName == shown.Name, cancel);
        return
            shown.Opens(account?.InvitationDigest)
            && account is { RemovedAt: null }
            && account.InvitedUntil > store.Clock.GetUtcNow()
            ? account
            : null;
    }

    /// <summary>One who may sign in, by id.</summary>
    public async Task<Account?> FindAsync(Guid id, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await context
            .Set<Account>()
            .AsNoTracking()
            .FirstOrDefaultAsync(a => a.Id == id && a.RemovedAt == null, cancel);
    }

    /// <summary>One who may sign in, by normalised name.</summary>
    public async Task<Account?> FindAsync(string normalizedName, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await context
            .Set<Account>()
            .AsNoTracking()
            .FirstOrDefaultAsync(a => a.NormalizedName == normalizedName && a.RemovedAt == null, cancel);
    }

    /// <summary>Writes what changed of an account, unless somebody else changed it meanwhile.</summary>
    /// <param name="account">The account, its stamp as it is to be.</param>
    /// <param name="stampBefore">Its stamp as it was read.</param>
    /// <param name="cancel">Stops it.</param>
    public Task<bool> SaveAsync(Account account, string stampBefore, CancellationToken cancel) =>
        store.TransactAsync(
            async (context, _) =>
            {
                Account? current = await context.Set<Account>().FindAsync([account.Id], cancel);
                if (
                    current is not { RemovedAt: null }
                    || !string.Equals(current.SecurityStamp, stampBefore, StringComparison.Ordinal)
                )
                {
                    return false;
                }

                context.Entry(current).CurrentValues.SetValues(account);
                return true;
            },
            cancel
        );

    /// <summary>A name without regard to case.</summary>
    public static string Normalized(string name) => name.Trim().Normalize().ToUpperInvariant();

    /// <summary>A stamp that no session has.</summary>
    public static string NewStamp() => Guid.NewGuid().ToString("N");

    private Task<(Account? Account, IReadOnlyList<InputProblem> Problems)> ChangeAsync(
        string name,
        Actor actor,
        bool staysOwner,
        Func<Account, string> what,
        Action<Account> change,
        CancellationToken cancel
    )
    {
        string normalized = Normalized(name);
        return store.TransactAsync<(Account?, IReadOnlyList<InputProblem>)>(
            async (context, _) =>
            {
                IQueryable<Account> people = context.Set<Account>().Where(a => a.RemovedAt == null);
                Account? found = await people.FirstOrDefaultAsync(
                    a => a.NormalizedName == normalized,
                    cancel
                );
                if (found is null)
                {
                    return (null, [Unknown(name)]);
                }

                if (!staysOwner && await IsLastOwnerAsync(context, people, found, cancel))
                {
                    return (null, [LastOwner(name)]);
                }

                change(found);
                found.SecurityStamp = NewStamp();
                context.Add(AuditTrail.Line(actor, what(found), found.OrganisationId, store.Clock));
                return (found, []);
            },
            cancel
        );
    }

    /// <summary>Whether someone is an organisation's last owner; until the transaction ends nobody else can change its owners.</summary>
    private static async Task<bool> IsLastOwnerAsync(
        LogbookContext context,
        IQueryable<Account> people,
        Account of,
        CancellationToken cancel
    )
    {
        IQueryable<Account> owners = people.Where(a =>
            a.OrganisationId == of.OrganisationId && a.Right == Right.Manage
        );
        await owners.ExecuteUpdateAsync(a => a.SetProperty(x => x.Right, Right.Manage), cancel);
        await context.Entry(of).ReloadAsync(cancel);
        return of is { Right: Right.Manage, RemovedAt: null }
            && !await owners.AnyAsync(a => a.Id != of.Id, cancel);
    }

    /// <summary>
    /// What belongs to nobody becomes the first organisation's, before the first account is: nothing disappears when people begin to
    /// sign in, and what fails can be tried again.
    /// </summary>
    private async Task<IReadOnlyList<InputProblem>> AdoptAsync(
        Id<Organisation> owner,
        Actor actor,
        CancellationToken cancel
    )
    {
        List<Entry> adopted = [];
        await using (LogbookContext context = store.Read())
        {
            foreach (EntryKind kind in EntryKind.All)
            {
                await foreach (Entry entry in kind.AllByKey(context).WithCancellation(cancel))
                {
                    Entry owned = entry.In(owner);
                    if (!ReferenceEquals(owned, entry))
                    {
                        adopted.Add(owned);
                    }
                }
            }
        }

        return adopted.Count == 0
            ? []
            : (
                await store.WriteAsync(
                    new EditDraft(actor.Who, "people sign in from now on"),
                    adopted,
                    cancel
                )
            ).Problems;
    }

    private static InputProblem Unknown(string name) => new("name", name, "someone who has an account");

    private static InputProblem LastOwner(string name) =>
        new("name", name, "not the last owner: make somebody else owner first");
}
