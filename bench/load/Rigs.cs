using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Load;

/// <summary>The rigs of the load, each with one device.</summary>
internal static class Rigs
{
    private const int Together = 500;

    /// <summary>Writes them; returns the keys of the devices.</summary>
    public static async Task<IReadOnlyList<string>> AddAsync(
        LogbookStore store,
        int count,
        CancellationToken cancel
    )
    {
        Rig[] rigs =
        [
            .. Enumerable
                .Range(1, count)
                .Select(n => new Rig
                {
                    Id = store.Ids.Next<Rig>(),
                    Name = FormattableString.Invariant($"Rig {n}"),
                }),
        ];
        var register = new DeviceRegister(store);
        List<string> keys = [];
        foreach (Rig[] some in rigs.Chunk(Together))
        {
            WriteOutcome outcome = await store.WriteAsync(new EditDraft("load"), some, cancel);
            if (outcome.Edit is null)
            {
                throw new InvalidOperationException(string.Join('\n', outcome.Problems));
            }

            foreach (Rig rig in some)
            {
                (AddedDevice? added, _) = await register.AddAsync(
                    new DeviceDraft($"Probe of {rig.Name}", rig.Id, null),
                    cancel
                );
                keys.Add(added!.Key);
            }
        }

        return keys;
    }

    /// <summary>How many rows the record holds and, on PostgreSQL, how much room one takes with its indexes.</summary>
    public static async Task<string> CountAsync(StoreAddress address, CancellationToken cancel)
    {
        await using LogbookStore store = await LogbookStore.OpenAsync(address, TimeProvider.System, cancel);
        await using LogbookContext context = store.Read();
        long rows = await context.Set<ReceivedRow>().LongCountAsync(cancel);
        if (address.ConnectionString is null)
        {
            return FormattableString.Invariant($"{rows} rows in the record");
        }

        long bytes = (
            await context
                .Database.SqlQuery<long>($"SELECT pg_total_relation_size('received_row')")
                .ToListAsync(cancel)
        )[0];
        return FormattableString.Invariant(
            $"{rows} rows in the record, {(double)bytes / Math.Max(1, rows):0} bytes each with indexes"
        );
    }
}
