using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Ingest;

/// <summary>
/// How far each device and each channel has come, so that a row beyond it is known to be new without asking the database. Another
/// process may have gone further; the database then refuses the row, and everything here is forgotten.
/// </summary>
internal sealed class RowMarks
{
    private readonly Dictionary<(Guid Device, int Boot), long> _sequences = [];
    private readonly Dictionary<long, DateTimeOffset> _instants = [];

    public void Forget()
    {
        _sequences.Clear();
        _instants.Clear();
    }

    /// <summary>Asks for those highest sequences that are not known yet, by one question a number of boots.</summary>
    public async Task FindSequencesAsync(
        LogbookContext context,
        IReadOnlyCollection<(Guid Device, int Boot)> wanted
    )
    {
        foreach (
            IGrouping<int, Guid> boot in wanted
                .Where(w => !_sequences.ContainsKey(w))
                .GroupBy(w => w.Boot, w => w.Device)
        )
        {
            List<Guid> devices = [.. boot];
            var highest = await context
                .Set<Device>()
                .Where(d => devices.Contains(d.Id))
                .Select(d => new
                {
                    d.Id,
                    Sequence = context
                        .Set<ReceivedRow>()
                        .Where(r => r.DeviceId == d.Id && r.Boot == boot.Key && r.Sequence != null)
                        .Max(r => r.Sequence),
                })
                .ToListAsync();
            foreach (var device in highest)
            {
                _sequences.Add((device.Id, boot.Key), device.Sequence ?? -1);
            }
        }
    }

    /// <summary>The highest sequence that came, or −1; of those that were asked for.</summary>
    public long Sequence(Guid device, int boot) => _sequences[(device, boot)];

    /// <summary>The latest stated instant of a row without a sequence.</summary>
    public async Task<DateTimeOffset> InstantAsync(LogbookContext context, long channel)
    {
        if (!_instants.TryGetValue(channel, out DateTimeOffset latest))
        {
            latest =
                await context
                    .Set<ReceivedRow>()
                    .Where(r => r.ChannelId == channel && r.Sequence == null)
                    .MaxAsync(r => (DateTimeOffset?)r.DeviceAt)
                ?? DateTimeOffset.MinValue;
            _instants.Add(channel, latest);
        }

        return latest;
    }

    /// <summary>Learns of rows that were written.</summary>
    public void Learn(IEnumerable<ReceivedRow> rows)
    {
        foreach (ReceivedRow row in rows)
        {
            if (row.Sequence is not { } sequence)
            {
                if (_instants.TryGetValue(row.ChannelId, out DateTimeOffset latest) && latest < row.DeviceAt)
                {
                    _instants[row.ChannelId] = row.DeviceAt;
                }
            }
            else if (_sequences.TryGetValue((row.DeviceId, row.Boot), out long highest) && highest < sequence)
            {
                _sequences[(row.DeviceId, row.Boot)] = sequence;
            }
        }
    }
}
