using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Identity;
using Rinsewright.Quantities;
using Rinsewright.Records.Access;

namespace Rinsewright.Web.People;

/// <summary>Addresses at which people come in.</summary>
internal static class Doors
{
    public const string SignIn = "/sign-in";
    public const string Join = "/join";

    /// <summary>Whether a page is for someone who is not in yet.</summary>
    public static bool IsDoor(PathString path) =>
        path == SignIn || path.StartsWithSegments(Join, StringComparison.Ordinal);
}

/// <summary>
/// Signs people in and out, with passwords and passkeys, and does what they may do for themselves. Whatever is wrong with a try,
/// the answer is the same, so that it tells nobody who has an account.
/// </summary>
internal sealed class SignIns(
    SignInManager<Account> manager,
    UserManager<Account> users,
    PeopleRegister people,
    AuditTrail audit,
    WrongSignIns wrong,
    IHttpContextAccessor accessor,
    TimeProvider clock
)
{
    private static readonly string NoHash = new PasswordHasher<Account>().HashPassword(null!, "nobody's");

    private HttpContext Http => accessor.HttpContext!;

    private CancellationToken Cancel => Http.RequestAborted;

    /// <summary>Whether the address that asks has to wait.</summary>
    public bool MustWait => !wrong.Tries.MayTry(Http);

    /// <summary>Signs in by name and password; whether it was right.</summary>
    public async Task<bool> WithPasswordAsync(string? name, string? password)
    {
        Account? account = string.IsNullOrWhiteSpace(name) ? null : await users.FindByNameAsync(name);
        if (account?.PasswordHash is null)
        {
            // As long as it takes for one who has an account.
            users.PasswordHasher.VerifyHashedPassword(account!, NoHash, password ?? "");
            return await WrongAsync(name, null, "tried to sign in");
        }

        SignInResult result = await manager.CheckPasswordSignInAsync(
            account,
            password ?? "",
            lockoutOnFailure: true
        );
        return result.Succeeded
            ? await InAsync(account, "signed in")
            : await WrongAsync(
                account.Name,
                account,
                result.IsLockedOut ? "is locked out after wrong tries" : "gave a wrong password"
            );
    }

    /// <summary>Signs in by a passkey; whether it was right.</summary>
    /// <param name="answer">What the authenticator answered, as JSON.</param>
    public async Task<bool> WithPasskeyAsync(string? answer)
    {
        PasskeyAssertionResult<Account>? result = await TryAsync(() =>
            manager.PerformPasskeyAssertionAsync(answer ?? "")
        );
        if (result is not { Succeeded: true })
        {
            return await WrongAsync("someone", null, "showed a passkey that opens nothing");
        }

        await users.AddOrUpdatePasskeyAsync(result.User, result.Passkey);
        return await InAsync(result.User, "signed in by passkey");
    }

    /// <summary>The account that an invitation is for; wrong ones are counted.</summary>
    public async Task<Account?> InvitedAsync(string? key)
    {
        if (MustWait)
        {
            return null;
        }

        Account? account = await people.InvitedAsync(key, Cancel);
        if (account is null)
        {
            wrong.Tries.Count(Http);
        }

        return account;
    }

    /// <summary>Takes an invitation up with a password or a passkey, and signs in. It opens nothing from then on.</summary>
    public async Task<IReadOnlyList<InputProblem>> JoinAsync(string? key, string? password, string? passkey)
    {
        if (
            await InvitedAsync(key) is not { } invited
            || await users.FindByIdAsync(invited.Id.ToString()) is not { } account
        )
        {
            return [new InputProblem("invitation", "", "one that is open: ask for another")];
        }

        account.InvitationName = null;
        account.InvitationDigest = null;
        account.InvitedUntil = null;
        IReadOnlyList<InputProblem> problems = string.IsNullOrEmpty(passkey)
            ? Problems(await users.AddPasswordAsync(account, password ?? ""))
            : await AddPasskeyAsync(account, passkey, "first");
        if (problems.Count > 0)
        {
            return problems;
        }

        // With a new stamp, so that a second use at the same time finds another than it read.
        problems = Problems(await users.UpdateSecurityStampAsync(account));
        if (problems.Count == 0)
        {
            await InAsync(account, "joined");
        }

        return problems;
    }

    /// <summary>Changes one's own password; every other session ends.</summary>
    public async Task<IReadOnlyList<InputProblem>> ChangePasswordAsync(string? current, string? next)
    {
        Account account = await SelfAsync();
        if (MustWait)
        {
            return [new InputProblem("password", "", "a minute's wait after so many tries")];
        }

        IdentityResult result = account.PasswordHash is null
            ? await users.AddPasswordAsync(account, next ?? "")
            : await users.ChangePasswordAsync(account, current ?? "", next ?? "");
        if (!result.Succeeded)
        {
            wrong.Tries.Count(Http);
            return Problems(result);
        }

        await audit.AddAsync(Self(account), "changed the password", account.OrganisationId, Cancel);
        await RenewAsync(account);
        return [];
    }

    /// <summary>Adds a passkey of one's own.</summary>
    public async Task<IReadOnlyList<InputProblem>> AddPasskeyAsync(string? answer, string? name)
    {
        Account account = await SelfAsync();
        IReadOnlyList<InputProblem> problems = await AddPasskeyAsync(account, answer, name);
        if (problems.Count == 0)
        {
            await audit.AddAsync(Self(account), "added a passkey", account.OrganisationId, Cancel);
        }

        return problems;
    }

    /// <summary>Takes a passkey of one's own away; every other session ends.</summary>
    public async Task<IReadOnlyList<InputProblem>> RemovePasskeyAsync(byte[] credentialId)
    {
        Account account = await SelfAsync();
        if (account.PasswordHash is null && (await users.GetPasskeysAsync(account)).Count < 2)
        {
            return [new InputProblem("passkey", "", "another way in first: a password or another passkey")];
        }

        await users.RemovePasskeyAsync(account, credentialId);
        await users.UpdateSecurityStampAsync(account);
        await audit.AddAsync(Self(account), "removed a passkey", account.OrganisationId, Cancel);
        await RenewAsync(account);
        return [];
    }

    /// <summary>One's own passkeys.</summary>
    public async Task<IList<UserPasskeyInfo>> PasskeysAsync() =>
        await users.GetPasskeysAsync(await SelfAsync());

    /// <summary>Ends this session, or all of one's own.</summary>
    public async Task OutAsync(bool everywhere)
    {
        if (everywhere)
        {
            Account account = await SelfAsync();
            await users.UpdateSecurityStampAsync(account);
            await audit.AddAsync(Self(account), "signed out everywhere", account.OrganisationId, Cancel);
        }

        await manager.SignOutAsync();
        // What the browser kept of the pages is of no use to whoever comes next; what waits to be sent stays.
        Http.Response.Headers["Clear-Site-Data"] = "\"cache\"";
    }

    /// <summary>What a browser needs to make a passkey for oneself, or for whom an invitation is.</summary>
    public async Task<string?> NewPasskeyAsync(string? invitation)
    {
        Account? account =
            !string.IsNullOrEmpty(invitation) ? await InvitedAsync(invitation)
            : Visitor.Of(Http)?.Account is { } self ? await people.FindAsync(self, Cancel)
            : null;
        return account is null
            ? null
            : await manager.MakePasskeyCreationOptionsAsync(
                new PasskeyUserEntity
                {
                    Id = account.Id.ToString(),
                    Name = account.Name,
                    DisplayName = account.Name,
                }
            );
    }

    /// <summary>What a browser needs to ask for a passkey, whosever it is.</summary>
    public Task<string> AskPasskeyAsync() => manager.MakePasskeyRequestOptionsAsync(null);

    private async Task<IReadOnlyList<InputProblem>> AddPasskeyAsync(
        Account account,
        string? answer,
        string? name
    )
    {
        PasskeyAttestationResult? result = await TryAsync(() =>
            manager.PerformPasskeyAttestationAsync(answer ?? "")
        );
        if (
            result is not { Succeeded: true }
            || !string.Equals(result.UserEntity.Id, account.Id.ToString(), StringComparison.Ordinal)
        )
        {
            return [new InputProblem("passkey", "", "one that was just made here: try again")];
        }

        result.Passkey.Name = string.IsNullOrWhiteSpace(name) ? "passkey" : name.Trim();
        return Problems(await users.AddOrUpdatePasskeyAsync(account, result.Passkey));
    }

    /// <summary>The result, or nothing where the answer does not belong to what was asked, if anything was.</summary>
    private static async Task<T?> TryAsync<T>(Func<Task<T>> perform)
        where T : class
    {
        try
        {
            return await perform();
        }
        catch (Exception problem) when (problem is InvalidOperationException or PasskeyException)
        {
            return null;
        }
    }

    private async Task<bool> InAsync(Account account, string what)
    {
        wrong.Tries.Forget(Http);
        account.LastSeenAt = clock.GetUtcNow();
        await users.UpdateAsync(account);
        await RenewAsync(account);
        await audit.AddAsync(Self(account), what, account.OrganisationId, Cancel);
        return true;
    }

    private Task RenewAsync(Account account) => manager.SignInAsync(account, isPersistent: true);

    private async Task<bool> WrongAsync(string? name, Account? account, string what)
    {
        wrong.Tries.Count(Http);
        await audit.AddAsync(new Actor(name ?? "", Address), what, account?.OrganisationId, Cancel);
        return false;
    }

    private async Task<Account> SelfAsync() =>
        await users.FindByIdAsync($"{Visitor.Of(Http)?.Account}")
        ?? throw new InvalidOperationException("Nobody is signed in.");

    private Actor Self(Account account) => new(account.Name, Address);

    private string Address => Http.Connection.RemoteIpAddress?.ToString() ?? "";

    private static IReadOnlyList<InputProblem> Problems(IdentityResult result) =>
        [
            .. result.Errors.Select(e => new InputProblem(
                "password",
                "",
                e switch
                {
                    RefusedPassword refused => refused.Expected,
                    { Code: nameof(IdentityErrorDescriber.PasswordMismatch) } => Sentence.Of(
                        "your present password"
                    ),
                    { Code: nameof(IdentityErrorDescriber.ConcurrencyFailure) } => Sentence.Of(
                        "another try: it was changed meanwhile"
                    ),
                    _ => Sentence.Written(e.Description),
                }
            )),
        ];
}
