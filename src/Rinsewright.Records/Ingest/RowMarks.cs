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

    /// <summary>The highest sequence that came, or −1.</summary>
    public async Task<long> SequenceAsync(LogbookContext context, Guid device, int boot)
    {
        if (!_sequences.TryGetValue((device, boot), out long highest))
        {
            highest =
                await context
                    .Set<ReceivedRow>()
                    .Where(r => r.DeviceId == device && r.Boot == boot && r.Sequence != null)
                    .MaxAsync(r => r.Sequence)
                ?? -1;
            _sequences.Add((device, boot), highest);
        }

        return highest;
    }

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
