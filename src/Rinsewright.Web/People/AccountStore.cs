using Microsoft.AspNetCore.Identity;
using Rinsewright.Quantities;
using Rinsewright.Records.Access;

namespace Rinsewright.Web.People;

/// <summary>Gives ASP.NET Core Identity the accounts and passkeys of the record.</summary>
internal sealed class AccountStore(PeopleRegister people, PasskeyRegister passkeys)
    : IUserPasswordStore<Account>,
        IUserSecurityStampStore<Account>,
        IUserLockoutStore<Account>,
        IUserPasskeyStore<Account>
{
    // What each account's stamp was when it was read, so that a change by somebody else is noticed.
    private readonly Dictionary<Guid, string> _stamps = [];

    public void Dispose() { }

    public Task<IdentityResult> CreateAsync(Account user, CancellationToken cancellationToken) =>
        throw new NotSupportedException("Accounts are made by an invitation.");

    public Task<IdentityResult> DeleteAsync(Account user, CancellationToken cancellationToken) =>
        throw new NotSupportedException("Accounts are taken away by the register of people.");

    public async Task<IdentityResult> UpdateAsync(Account user, CancellationToken cancellationToken)
    {
        if (
            !await people.SaveAsync(
                user,
                _stamps.GetValueOrDefault(user.Id, user.SecurityStamp),
                cancellationToken
            )
        )
        {
            return IdentityResult.Failed(new IdentityErrorDescriber().ConcurrencyFailure());
        }

        _stamps[user.Id] = user.SecurityStamp;
        return IdentityResult.Success;
    }

    public async Task<Account?> FindByIdAsync(string userId, CancellationToken cancellationToken) =>
        Guid.TryParse(userId, out Guid id) ? Read(await people.FindAsync(id, cancellationToken)) : null;

    public async Task<Account?> FindByNameAsync(
        string normalizedUserName,
        CancellationToken cancellationToken
    ) => Read(await people.FindAsync(normalizedUserName, cancellationToken));

    public Task<string> GetUserIdAsync(Account user, CancellationToken cancellationToken) =>
        Task.FromResult(user.Id.ToString());

    public Task<string?> GetUserNameAsync(Account user, CancellationToken cancellationToken) =>
        Task.FromResult<string?>(user.Name);

    public Task SetUserNameAsync(Account user, string? userName, CancellationToken cancellationToken)
    {
        user.Name = userName!;
        return Task.CompletedTask;
    }

    public Task<string?> GetNormalizedUserNameAsync(Account user, CancellationToken cancellationToken) =>
        Task.FromResult<string?>(user.NormalizedName);

    public Task SetNormalizedUserNameAsync(
        Account user,
        string? normalizedName,
        CancellationToken cancellationToken
    )
    {
        user.NormalizedName = normalizedName!;
        return Task.CompletedTask;
    }

    public Task SetPasswordHashAsync(Account user, string? passwordHash, CancellationToken cancellationToken)
    {
        user.PasswordHash = passwordHash;
        return Task.CompletedTask;
    }

    public Task<string?> GetPasswordHashAsync(Account user, CancellationToken cancellationToken) =>
        Task.FromResult(user.PasswordHash);

    public Task<bool> HasPasswordAsync(Account user, CancellationToken cancellationToken) =>
        Task.FromResult(user.PasswordHash is not null);

    public Task SetSecurityStampAsync(Account user, string stamp, CancellationToken cancellationToken)
    {
        user.SecurityStamp = stamp;
        return Task.CompletedTask;
    }

    public Task<string?> GetSecurityStampAsync(Account user, CancellationToken cancellationToken) =>
        Task.FromResult<string?>(user.SecurityStamp);

    public Task<DateTimeOffset?> GetLockoutEndDateAsync(Account user, CancellationToken cancellationToken) =>
        Task.FromResult(user.LockedUntil);

    public Task SetLockoutEndDateAsync(
        Account user,
        DateTimeOffset? lockoutEnd,
        CancellationToken cancellationToken
    )
    {
        user.LockedUntil = lockoutEnd;
        return Task.CompletedTask;
    }

    public Task<int> IncrementAccessFailedCountAsync(Account user, CancellationToken cancellationToken) =>
        Task.FromResult(++user.FailedTries);

    public Task ResetAccessFailedCountAsync(Account user, CancellationToken cancellationToken)
    {
        user.FailedTries = 0;
        return Task.CompletedTask;
    }

    public Task<int> GetAccessFailedCountAsync(Account user, CancellationToken cancellationToken) =>
        Task.FromResult(user.FailedTries);

    public Task<bool> GetLockoutEnabledAsync(Account user, CancellationToken cancellationToken) =>
        Task.FromResult(true);

    public Task SetLockoutEnabledAsync(Account user, bool enabled, CancellationToken cancellationToken) =>
        throw new NotSupportedException("Every account is locked after too many wrong tries.");

    public Task AddOrUpdatePasskeyAsync(
        Account user,
        UserPasskeyInfo passkey,
        CancellationToken cancellationToken
    ) =>
        passkeys.KeepAsync(
            new Passkey
            {
                CredentialId = passkey.CredentialId,
                AccountId = user.Id,
                Name = passkey.Name ?? "",
                PublicKey = passkey.PublicKey,
                AddedAt = passkey.CreatedAt,
                SignCount = passkey.SignCount,
                Transports = string.Join(' ', passkey.Transports ?? []),
                IsUserVerified = passkey.IsUserVerified,
                IsBackupEligible = passkey.IsBackupEligible,
                IsBackedUp = passkey.IsBackedUp,
                AttestationObject = passkey.AttestationObject,
                ClientData = passkey.ClientDataJson,
            },
            cancellationToken
        );

    public async Task<IList<UserPasskeyInfo>> GetPasskeysAsync(
        Account user,
        CancellationToken cancellationToken
    ) => [.. (await passkeys.ListAsync(user.Id, cancellationToken)).Select(Of)];

    public async Task<Account?> FindByPasskeyIdAsync(
        byte[] credentialId,
        CancellationToken cancellationToken
    ) =>
        await passkeys.FindAsync(credentialId, cancellationToken) is { } passkey
            ? Read(await people.FindAsync(passkey.AccountId, cancellationToken))
            : null;

    public async Task<UserPasskeyInfo?> FindPasskeyAsync(
        Account user,
        byte[] credentialId,
        CancellationToken cancellationToken
    ) =>
        await passkeys.FindAsync(credentialId, cancellationToken) is { } passkey
        && passkey.AccountId == user.Id
            ? Of(passkey)
            : null;

    public Task RemovePasskeyAsync(Account user, byte[] credentialId, CancellationToken cancellationToken) =>
        passkeys.RemoveAsync(user.Id, credentialId, cancellationToken);

    private static UserPasskeyInfo Of(Passkey passkey) =>
        new(
            passkey.CredentialId,
            passkey.PublicKey,
            passkey.AddedAt,
            (uint)passkey.SignCount,
            passkey.Transports.Split(' ', StringSplitOptions.RemoveEmptyEntries),
            passkey.IsUserVerified,
            passkey.IsBackupEligible,
            passkey.IsBackedUp,
            passkey.AttestationObject,
            passkey.ClientData
        )
        {
            Name = passkey.Name,
        };

    private Account? Read(Account? account)
    {
        if (account is not null)
        {
            _stamps[account.Id] = account.SecurityStamp;
        }

        return account;
    }
}

/// <summary>Compares names without regard to case, as the register of people does.</summary>
internal sealed class NameNormalizer : ILookupNormalizer
{
    public string? NormalizeName(string? name) => name is null ? null : PeopleRegister.Normalized(name);

    public string? NormalizeEmail(string? email) => NormalizeName(email);
}

/// <summary>A password is long enough to be no guess, and not made of what everybody knows of its owner.</summary>
internal sealed class PasswordRule : IPasswordValidator<Account>
{
    public const int Shortest = 12;
    private const int Longest = 128;
    private const int ShortestName = 4;
    private const int FewestCharacters = 5;

    public Task<IdentityResult> ValidateAsync(UserManager<Account> manager, Account user, string? password)
    {
        string given = password ?? "";
        bool isKnown =
            given.Contains("rinsewright", StringComparison.OrdinalIgnoreCase)
            || (
                user.Name.Length >= ShortestName
                && given.Contains(user.Name, StringComparison.OrdinalIgnoreCase)
            );
        return Task.FromResult(
            given.Length is < Shortest or > Longest
                ? Refused(
                    Sentence.Of($"{Shortest} to {Longest} characters; several words are easy to keep in mind")
                )
            : isKnown ? Refused(Sentence.Of("a password without your name or that of this program in it"))
            : given.Distinct().Count() < FewestCharacters
                ? Refused(Sentence.Of("a password of more than a few characters"))
            : IdentityResult.Success
        );
    }

    private static IdentityResult Refused(Sentence expected) =>
        IdentityResult.Failed(new RefusedPassword(expected));
}

/// <summary>A password that is none, with what would be right.</summary>
internal sealed class RefusedPassword : IdentityError
{
    public RefusedPassword(Sentence expected)
    {
        Code = "password";
        Description = expected.ToString();
        Expected = expected;
    }

    public Sentence Expected { get; }
}
