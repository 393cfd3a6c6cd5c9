using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Access;

/// <summary>The public halves of passkeys.</summary>
public sealed class PasskeyRegister(LogbookStore store)
{
    /// <summary>Passkeys of an account, the oldest first.</summary>
    public async Task<IReadOnlyList<Passkey>> ListAsync(Guid account, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await context
            .Set<Passkey>()
            .AsNoTracking()
            .Where(p => p.AccountId == account)
            .OrderBy(p => p.AddedAt)
            .ToListAsync(cancel);
    }

    /// <summary>One, by the id that the authenticator gave it.</summary>
    public async Task<Passkey?> FindAsync(byte[] credentialId, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await context
            .Set<Passkey>()
            .AsNoTracking()
            .FirstOrDefaultAsync(p => p.CredentialId == credentialId, cancel);
    }

    /// <summary>Adds one, or writes what use changed of it.</summary>
    public Task KeepAsync(Passkey passkey, CancellationToken cancel) =>
        store.TransactAsync(
            async (context, _) =>
            {
                Passkey? current = await context.Set<Passkey>().FindAsync([passkey.CredentialId], cancel);
                if (current is null)
                {
                    context.Add(passkey);
                }
                else if (current.AccountId == passkey.AccountId)
                {
                    current.Name = passkey.Name;
                    current.SignCount = passkey.SignCount;
                    current.IsUserVerified = passkey.IsUserVerified;
                    current.IsBackedUp = passkey.IsBackedUp;
                }

                return 0;
            },
            cancel
        );

    /// <summary>Takes one away from an account.</summary>
    public Task RemoveAsync(Guid account, byte[] credentialId, CancellationToken cancel) =>
        store.TransactAsync(
            (context, _) =>
                context
                    .Set<Passkey>()
                    .Where(p => p.AccountId == account && p.CredentialId == credentialId)
                    .ExecuteDeleteAsync(cancel),
            cancel
        );
}
