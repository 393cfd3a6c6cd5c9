using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Ingest;

/// <summary>Rows that were thinned out of a channel.</summary>
/// <param name="Channel">The channel.</param>
/// <param name="Before">The instant before which they lay.</param>
/// <param name="Rows">How many.</param>
public sealed record ThinnedRows(DeviceChannel Channel, DateTimeOffset Before, int Rows);

/// <summary>
/// Removes raw samples that are old and of which readings were made. The readings stay, and what anyone wrote, and counts and
/// readings as they came: only of what was sampled can one do without the single values.
/// </summary>
public sealed class Thinning(LogbookStore store)
{
    /// <summary>Younger rows are always kept: late ones still come, and readings are made again with them (our choice).</summary>
    public const int FewestDays = 30;

    /// <summary>Thins every channel of samples out.</summary>
    /// <param name="days">How old a row must be [d].</param>
    /// <param name="isTrial">Whether it is only counted.</param>
    /// <param name="cancel">Stops between two channels.</param>
    public async Task<IReadOnlyList<ThinnedRows>> RunAsync(int days, bool isTrial, CancellationToken cancel)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(days, FewestDays);
        DateTimeOffset old = store.Clock.GetUtcNow().AddDays(-days);
        List<DeviceChannel> channels;
        Dictionary<Guid, Device> devices;
        await using (LogbookContext context = store.Read())
        {
            channels = await context
                .Set<DeviceChannel>()
                .AsNoTracking()
                .Where(c => c.Kind == RowKind.Sample)
                .OrderBy(c => c.Id)
                .ToListAsync(cancel);
            devices = await context.Set<Device>().AsNoTracking().ToDictionaryAsync(d => d.Id, cancel);
        }

        List<ThinnedRows> thinned = [];
        foreach (DeviceChannel channel in channels)
        {
            int rows = 0;
            DateTimeOffset before = default;
            await store.TransactAsync(
                async (context, _) =>
                {
                    // Read within the transaction: a late row may just have made an old interval due again.
                    DateTimeOffset? open = await context
                        .Set<DeviceChannel>()
                        .Where(c => c.Id == channel.Id)
                        .Select(c => c.DirtyFrom)
                        .SingleAsync(cancel);
                    before = ChannelReduction.IntervalOf(
                        open < old ? open.Value - ChannelReduction.Reach : old,
                        devices[channel.DeviceId]
                    );
                    IQueryable<ReceivedRow> gone = context
                        .Set<ReceivedRow>()
                        .Where(r => r.ChannelId == channel.Id && r.At < before);
                    if (isTrial)
                    {
                        rows = await gone.CountAsync(cancel);
                        return true;
                    }

                    // Without its rows nothing can be made again of a stretch, so that its readings are no longer derived.
                    await context
                        .Set<DerivedEntry>()
                        .Where(d => d.ChannelId == channel.Id && d.StartsAt < before)
                        .ExecuteDeleteAsync(cancel);
                    rows = await gone.ExecuteDeleteAsync(cancel);
                    return true;
                },
                cancel
            );
            if (rows > 0)
            {
                thinned.Add(new ThinnedRows(channel, before, rows));
            }
        }

        return thinned;
    }

    /// <summary>Until when samples of a device were thinned out: it has readings made of rows that are no longer there.</summary>
    internal static async Task<DateTimeOffset> ThinnedUntilAsync(
        LogbookContext context,
        Device device,
        CancellationToken cancel
    )
    {
        DateTimeOffset until = DateTimeOffset.MinValue;
        foreach (
            DeviceChannel channel in await context
                .Set<DeviceChannel>()
                .AsNoTracking()
                .Where(c => c.DeviceId == device.Id && c.Kind == RowKind.Sample)
                .ToListAsync(cancel)
        )
        {
            DateTimeOffset first =
                await context
                    .Set<ReceivedRow>()
                    .Where(r => r.ChannelId == channel.Id)
                    .MinAsync(r => (DateTimeOffset?)r.At, cancel)
                ?? DateTimeOffset.MaxValue;
            bool isThinned = await context
                .Set<Reading>()
                .AnyAsync(
                    r =>
                        r.RigId == channel.RigId
                        && r.Place == channel.Place
                        && r.StageId == channel.StageId
                        && r.MeterId == channel.MeterId
                        && r.Measurand == channel.Measurand
                        && r.At < first
                        && context.Edits.Any(e => e.Number == r.EditNumber && e.Author == device.Name),
                    cancel
                );
            if (isThinned && first > until)
            {
                until = first;
            }
        }

        return until;
    }
}
