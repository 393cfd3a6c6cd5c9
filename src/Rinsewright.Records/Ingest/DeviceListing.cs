using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Ingest;

/// <summary>A time in which a channel was silent for much longer than it usually is.</summary>
/// <param name="Channel">The channel.</param>
/// <param name="From">Its last row before.</param>
/// <param name="To">Its first row after.</param>
public sealed record SilentTime(DeviceChannel Channel, DateTimeOffset From, DateTimeOffset To);

/// <summary>What did not come, or was not kept.</summary>
public sealed class DeviceListing(LogbookStore store)
{
    /// <summary>A silence shorter than this is none (our choice).</summary>
    public static readonly TimeSpan ShortestSilence = TimeSpan.FromMinutes(10);

    /// <summary>A silence is this many times longer than the usual time between two rows (our choice).</summary>
    public const int TimesUsual = 5;

    /// <summary>Rows before the time that is asked for, which tell how often others usually come (our choice).</summary>
    private const int RowsBefore = 20;

    /// <summary>Refused rows, the last refused first.</summary>
    public async Task<IReadOnlyList<(Device Device, RefusedRow Row)>> RefusedAsync(
        string? deviceName,
        int count,
        CancellationToken cancel
    )
    {
        await using LogbookContext context = store.Read();
        var rows = await (
            from row in context.Set<RefusedRow>().AsNoTracking()
            join device in context.Set<Device>().AsNoTracking() on row.DeviceId equals device.Id
            where deviceName == null || device.Name == deviceName
            orderby row.LastAt descending, row.Id descending
            select new { device, row }
        )
            .Take(count)
            .ToListAsync(cancel);
        return [.. rows.Select(r => (r.device, r.row))];
    }

    /// <summary>
    /// Numbers that a device's sequence leaves out; rows that were refused were not left out. Of a time whose samples were thinned out
    /// it is not known any more.
    /// </summary>
    public async Task<IReadOnlyList<MissingRows>> MissingAsync(Device device, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        DateTimeOffset since = await Thinning.ThinnedUntilAsync(context, device, cancel);
        List<MissingRows> missing = [];
        long last = -1;
        int boot = -1;
        IAsyncEnumerable<(int Boot, long Sequence)> numbers = context
            .Set<ReceivedRow>()
            .Where(r => r.DeviceId == device.Id && r.Sequence != null && r.At >= since)
            .Select(r => new { r.Boot, Sequence = r.Sequence!.Value })
            .Union(
                context
                    .Set<RefusedRow>()
                    .Where(r => r.DeviceId == device.Id && r.Sequence != null && r.LastAt >= since)
                    .Select(r => new { r.Boot, Sequence = r.Sequence!.Value })
            )
            .OrderBy(r => r.Boot)
            .ThenBy(r => r.Sequence)
            .AsAsyncEnumerable()
            .Select(r => (r.Boot, r.Sequence));
        await foreach ((int of, long sequence) in numbers.WithCancellation(cancel))
        {
            if (of == boot && sequence > last + 1)
            {
                missing.Add(new MissingRows(boot, last + 1, sequence - 1));
            }

            (boot, last) = (of, sequence);
        }

        return missing;
    }

    /// <summary>Pulses of a device's water meter since an instant that became no draw.</summary>
    public async Task<IReadOnlyList<DroppedPulses>> DroppedAsync(
        Device device,
        DateTimeOffset since,
        CancellationToken cancel
    )
    {
        if (device.PulsesPerLiter is not { } perLiter)
        {
            return [];
        }

        var meter = new PulseMeter(perLiter, device.CounterSize, TimeSpan.FromSeconds(device.Pause_s));
        await using LogbookContext context = store.Read();
        List<DroppedPulses> dropped = [];
        foreach (
            long channel in await context
                .Set<DeviceChannel>()
                .Where(s => s.DeviceId == device.Id && s.Kind == RowKind.Count)
                .OrderBy(s => s.Id)
                .Select(s => s.Id)
                .ToListAsync(cancel)
        )
        {
            var counts = await context
                .Set<ReceivedRow>()
                .Where(r => r.ChannelId == channel && r.At >= since)
                .OrderBy(r => r.At)
                .ThenBy(r => r.Id)
                .Select(r => new { r.At, r.Value })
                .ToListAsync(cancel);
            dropped.AddRange(meter.DroppedOf([.. counts.Select(c => new PulseCount(c.At, c.Value))]));
        }

        return dropped;
    }

    /// <summary>Silent times of a device's channels of samples and counts since an instant; the last reaches to now.</summary>
    public async Task<IReadOnlyList<SilentTime>> SilencesAsync(
        Device device,
        DateTimeOffset since,
        CancellationToken cancel
    )
    {
        await using LogbookContext context = store.Read();
        List<DeviceChannel> channels = await context
            .Set<DeviceChannel>()
            .AsNoTracking()
            .Where(s => s.DeviceId == device.Id && s.Kind != RowKind.Reading)
            .OrderBy(s => s.Id)
            .ToListAsync(cancel);
        List<SilentTime> silences = [];
        foreach (DeviceChannel channel in channels)
        {
            IQueryable<ReceivedRow> rows = context.Set<ReceivedRow>().Where(r => r.ChannelId == channel.Id);
            List<DateTimeOffset> before = await rows.Where(r => r.At < since)
                .OrderByDescending(r => r.At)
                .Select(r => r.At)
                .Take(RowsBefore)
                .ToListAsync(cancel);
            List<DateTimeOffset> after = await rows.Where(r => r.At >= since)
                .OrderBy(r => r.At)
                .Select(r => r.At)
                .ToListAsync(cancel);
            silences.AddRange(
                SilencesOf([.. Enumerable.Reverse(before), .. after], store.Clock.GetUtcNow())
                    .Where(s => s.To > since)
                    .Select(s => new SilentTime(channel, s.From, s.To))
            );
        }

        return silences;
    }

    /// <summary>The times between successive instants that are much longer than the median of them.</summary>
    /// <param name="instants">In the order of time.</param>
    /// <param name="now">The end of the last.</param>
    public static IEnumerable<(DateTimeOffset From, DateTimeOffset To)> SilencesOf(
        IReadOnlyList<DateTimeOffset> instants,
        DateTimeOffset now
    )
    {
        if (instants.Count < 2)
        {
            return [];
        }

        TimeSpan[] between = [.. instants.Zip(instants.Skip(1), (a, b) => b - a).Order()];
        TimeSpan usual = between[between.Length / 2];
        TimeSpan longest = usual * TimesUsual > ShortestSilence ? usual * TimesUsual : ShortestSilence;
        return instants
            .Zip(instants.Skip(1).Append(now), (from, to) => (from, to))
            .Where(s => s.to - s.from > longest);
    }
}
