using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Access;

/// <summary>The keys by which programs use the HTTP API in the name of an organisation.</summary>
public sealed class KeyRegister(LogbookStore store)
{
    private static readonly TimeSpan UseIsNoted = TimeSpan.FromMinutes(1);

    /// <summary>Makes a key; what its holder is told is told once, here.</summary>
    public async Task<(ApiKey? Key, string? Told, IReadOnlyList<InputProblem> Problems)> AddAsync(
        string name,
        Right right,
        Id<Organisation> organisation,
        Actor actor,
        CancellationToken cancel
    )
    {
        name = name.Trim();
        var problems = new ProblemList();
        EntryCheck.Text("name", name, problems);
        problems.Require(name.Length is > 0 and <= 100, "name", $"{name}", "1 to 100 characters");
        if (problems.Problems.Count > 0)
        {
            return (null, null, problems.Problems);
        }

        SecretKey secret = SecretKey.New(out string told);
        var key = new ApiKey
        {
            Id = store.Ids.Next(),
            Name = name,
            KeyName = secret.Name,
            KeyDigest = secret.Digest,
            OrganisationId = organisation,
            Right = right,
            AddedBy = actor.Who,
            AddedAt = Instant.Now(store.Clock),
        };
        bool isNew = await store.TransactAsync(
            async (context, _) =>
            {
                if (
                    await context
                        .Set<ApiKey>()
                        .AnyAsync(k => k.OrganisationId == organisation && k.Name == name, cancel)
                )
                {
                    return false;
                }

                context.Add(key);
                context.Add(
                    AuditTrail.Line(
                        actor,
                        $"made the key {name} to {right.ToString().ToLowerInvariant()}",
                        organisation,
                        store.Clock
                    )
                );
                return true;
            },
            cancel
        );
        return isNew
            ? (key, told, [])
            : (
                null,
                null,
                [new InputProblem("name", name, "a name that no other key has, revoked ones too")]
            );
    }

    /// <summary>All keys by name, revoked ones too.</summary>
    public async Task<IReadOnlyList<ApiKey>> ListAsync(CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await context.Set<ApiKey>().AsNoTracking().OrderBy(k => k.Name).ToListAsync(cancel);
    }

    /// <summary>Revokes a key of an organisation at once and for good. Whether there was one.</summary>
    public Task<bool> RevokeAsync(
        string name,
        Id<Organisation> organisation,
        Actor actor,
        CancellationToken cancel
    ) =>
        store.TransactAsync(
            async (context, _) =>
            {
                ApiKey? key = await context
                    .Set<ApiKey>()
                    .AsNoTracking()
                    .FirstOrDefaultAsync(
                        k => k.OrganisationId == organisation && k.Name == name && k.RevokedAt == null,
                        cancel
                    );
                if (key is null)
                {
                    return false;
                }

                DateTimeOffset now = Instant.Now(store.Clock);
                await context
                    .Set<ApiKey>()
                    .Where(k => k.Id == key.Id)
                    .ExecuteUpdateAsync(k => k.SetProperty(x => x.RevokedAt, now), cancel);
                context.Add(
                    AuditTrail.Line(actor, $"revoked the key {name}", key.OrganisationId, store.Clock)
                );
                return true;
            },
            cancel
        );

    /// <summary>The key that was shown, and that it was used; nothing when it opens nothing.</summary>
    public async Task<ApiKey?> FindAsync(string? text, CancellationToken cancel)
    {
        if (SecretKey.Read(text) is not { } shown)
        {
            return null;
        }

        ApiKey? key;
        await using (LogbookContext context = store.Read())
        {
            key = await context
                .Set<ApiKey>()
                .AsNoTracking()
                .FirstOrDefaultAsync(k => k.KeyName == shown.Name, cancel);
        }

        if (!shown.Opens(key?.KeyDigest) || key is not { RevokedAt: null })
        {
            return null;
        }

        DateTimeOffset now = Instant.Now(store.Clock);
        if (!(now - key.LastUsedAt < UseIsNoted))
        {
            await store.TransactAsync(
                (context, _) =>
                    context
                        .Set<ApiKey>()
                        .Where(k => k.Id == key.Id)
                        .ExecuteUpdateAsync(k => k.SetProperty(x => x.LastUsedAt, now), cancel),
                cancel
            );
        }

        return key;
    }
}
