using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Ingest;

/// <summary>
/// Rows into one transaction: those that are new, readings among them as entries (one edit a device), and the refused ones with their
/// reason. A row is the same row when device, boot and sequence agree or, without a sequence, channel and stated instant.
/// </summary>
internal sealed class RowWriting(
    LogbookStore store,
    LogbookContext context,
    RowMarks marks,
    DateTimeOffset now
)
{
    /// <summary>Stands for a row that was there already.</summary>
    public static readonly InputProblem IsThere = new("row", "", "");

    private const int LongestText = 2000;

    private static readonly IEqualityComparer<Device> DeviceById = EqualityComparer<Device>.Create(
        (a, b) => a?.Id == b?.Id,
        device => device.Id.GetHashCode()
    );

    private readonly Dictionary<(Guid, string), DeviceChannel> _channels = [];
    private readonly Dictionary<(Guid, int, long), ReceivedRow> _bySequence = [];
    private readonly Dictionary<(long, DateTimeOffset), ReceivedRow> _byInstant = [];
    private readonly Dictionary<(long, DateTimeOffset), double> _readings = [];
    private readonly List<(Device Device, Reading Reading)> _newReadings = [];
    private readonly List<(Guid Device, RowText Row, string Reason)> _refused = [];
    private readonly HashSet<Guid> _heard = [];
    private readonly List<ReceivedRow> _written = [];

    public IReadOnlyList<ReceivedRow> Written => _written;

    /// <summary>Looks up what the record holds of these rows. To be called once, with all that will be written.</summary>
    public async Task FindAsync(IReadOnlyList<(Device Device, IReadOnlyList<RowMeaning> Rows)> deliveries)
    {
        ILookup<Device, RowMeaning> ofDevices = deliveries
            .SelectMany(d => d.Rows, (d, row) => (d.Device, Row: row))
            .ToLookup(r => r.Device, r => r.Row, DeviceById);
        await FindChannelsAsync(ofDevices);
        await marks.FindSequencesAsync(
            context,
            [
                .. ofDevices
                    .SelectMany(d => d, (d, row) => (Device: d.Key.Id, row.Boot, row.Sequence))
                    .Where(r => r.Sequence is not null)
                    .Select(r => (r.Device, r.Boot))
                    .Distinct(),
            ]
        );
        foreach (IGrouping<Device, RowMeaning> ofDevice in ofDevices)
        {
            IReadOnlyList<RowMeaning> rows = [.. ofDevice];
            await FindRowsAsync(ofDevice.Key, rows);
            await FindReadingsAsync(ofDevice.Key, rows);
        }
    }

    /// <summary>Takes rows of one device: nothing for a row that is kept, <see cref="IsThere"/>, or why it is refused.</summary>
    public IReadOnlyList<InputProblem?> Write(Device device, IReadOnlyList<RowMeaning> rows)
    {
        _heard.Add(device.Id);
        return [.. rows.Select(row => Write(device, row))];
    }

    /// <summary>Keeps a refused row with its reason.</summary>
    public void Refuse(Device device, RowText row, IReadOnlyList<InputProblem> problems) =>
        _refused.Add((device.Id, row, string.Join('\n', problems)));

    /// <summary>Numbers that are left out below the highest of these rows and above the highest before them.</summary>
    public IReadOnlyList<MissingRows> Missing(Device device, IReadOnlyList<RowMeaning> rows)
    {
        List<MissingRows> missing = [];
        foreach (
            IGrouping<int, RowMeaning> boot in rows.Where(r => r.Sequence is not null).GroupBy(r => r.Boot)
        )
        {
            long before = marks.Sequence(device.Id, boot.Key);
            foreach (long sequence in boot.Select(r => r.Sequence!.Value).Where(s => s > before).Order())
            {
                if (before >= 0 && sequence > before + 1)
                {
                    missing.Add(new MissingRows(boot.Key, before + 1, sequence - 1));
                }

                before = sequence;
            }
        }

        return missing;
    }

    /// <summary>Adds what is left to the transaction.</summary>
    public async Task FinishAsync()
    {
        foreach (var ofDevice in _newReadings.GroupBy(r => r.Device.Name, StringComparer.Ordinal))
        {
            var edit = new Edit
            {
                At = now,
                Author = ofDevice.Key,
                Reason = "",
                IdempotencyKey = store.Ids.Next(),
                OrganisationId = await Ownership.OfAsync(
                    context,
                    ofDevice.First().Reading,
                    CancellationToken.None
                ),
            };
            context.Add(edit);
            await context.SaveChangesAsync();
            context.AddRange(
                ofDevice.Select(r => (object)(r.Reading with { Version = 1, EditNumber = edit.Number }))
            );
        }

        await FinishRefusedAsync();
        List<Guid> heard = [.. _heard];
        await context
            .Set<Device>()
            .Where(d => heard.Contains(d.Id))
            .ExecuteUpdateAsync(d => d.SetProperty(x => x.LastHeardAt, now));
    }

    private InputProblem? Write(Device device, RowMeaning row)
    {
        DeviceChannel channel = _channels[(device.Id, row.Channel.Signature)];
        ReceivedRow? same = row.Sequence is { } sequence
            ? _bySequence.GetValueOrDefault((device.Id, row.Boot, sequence))
            : _byInstant.GetValueOrDefault((channel.Id, row.DeviceAt));
        if (same is not null)
        {
            return same.ChannelId == channel.Id
                && ReadingImport.Agree(same.Value, row.Value)
                && (!row.IsInstantStated || same.DeviceAt == row.DeviceAt)
                    ? IsThere
                : row.Sequence is not null
                    ? new(
                        "sequence",
                        $"{row.Sequence}",
                        "a number that was not used before for another row; a device that counts anew says so with the next boot"
                    )
                : new("value", $"{row.Written} {row.Unit}", ReadingImport.Contradiction(same.Value));
        }

        InputProblem? outcome = null;
        if (row.Channel.Kind is not RowKind.Count)
        {
            // What no reading may be, no reading can be made of either.
            Reading reading = row.ToReading(store.Ids.Next<Reading>());
            var problems = new ProblemList();
            EntryCheck.Run(reading, problems);
            if (problems.Problems.Count > 0)
            {
                return problems.Problems[0];
            }

            if (
                row.Channel.Kind is RowKind.Reading
                && _readings.TryGetValue((channel.Id, row.At), out double held)
            )
            {
                if (!ReadingImport.Agree(held, row.Value))
                {
                    return new("value", $"{row.Written} {row.Unit}", ReadingImport.Contradiction(held));
                }

                outcome = IsThere;
            }
            else if (row.Channel.Kind is RowKind.Reading)
            {
                _newReadings.Add((device, reading));
                _readings.Add((channel.Id, row.At), row.Value);
            }
        }

        Keep(device, channel, row);
        return outcome;
    }

    private void Keep(Device device, DeviceChannel channel, RowMeaning row)
    {
        var kept = new ReceivedRow
        {
            DeviceId = device.Id,
            ChannelId = channel.Id,
            Boot = row.Boot,
            Sequence = row.Sequence,
            DeviceAt = row.DeviceAt,
            At = row.At,
            Value = row.Value,
            Temperature_K = row.Temperature_K,
            Flow_m3_s = row.Flow_m3_s,
            ReceivedAt = now,
        };
        context.Add(kept);
        _written.Add(kept);
        if (row.Sequence is { } sequence)
        {
            _bySequence.Add((device.Id, row.Boot, sequence), kept);
        }
        else
        {
            _byInstant.Add((channel.Id, row.DeviceAt), kept);
        }

        ChannelReduction.Mark(channel, device, row.At, now);
    }

    private async Task FindChannelsAsync(ILookup<Device, RowMeaning> ofDevices)
    {
        List<Guid> devices = [.. ofDevices.Select(d => d.Key.Id)];
        foreach (
            DeviceChannel known in await context
                .Set<DeviceChannel>()
                .Where(c => devices.Contains(c.DeviceId))
                .ToListAsync()
        )
        {
            _channels.Add((known.DeviceId, known.Signature), known);
        }

        bool isAnyNew = false;
        foreach ((Device device, RowMeaning row) in ofDevices.SelectMany(d => d, (d, row) => (d.Key, row)))
        {
            if (_channels.ContainsKey((device.Id, row.Channel.Signature)))
            {
                continue;
            }

            var channel = new DeviceChannel
            {
                DeviceId = device.Id,
                Signature = row.Channel.Signature,
                Kind = row.Channel.Kind,
                RigId = row.Channel.Rig,
                Place = row.Channel.Place,
                StageId = row.Channel.Stage,
                MeterId = row.Channel.Meter,
                Measurand = row.Channel.What,
                Unit = row.Unit,
            };
            context.Add(channel);
            _channels.Add((device.Id, channel.Signature), channel);
            isAnyNew = true;
        }

        if (isAnyNew)
        {
            await context.SaveChangesAsync();
        }
    }

    private async Task FindRowsAsync(Device device, IReadOnlyList<RowMeaning> rows)
    {
        foreach (
            IGrouping<int, RowMeaning> boot in rows.Where(r => r.Sequence is not null).GroupBy(r => r.Boot)
        )
        {
            long highest = marks.Sequence(device.Id, boot.Key);
            List<long?> old =
            [
                .. boot.Select(r => r.Sequence)
                    .Where(s => s <= highest && !_bySequence.ContainsKey((device.Id, boot.Key, s.Value))),
            ];
            if (old.Count > 0)
            {
                foreach (
                    ReceivedRow row in await context
                        .Set<ReceivedRow>()
                        .AsNoTracking()
                        .Where(r => r.DeviceId == device.Id && r.Boot == boot.Key && old.Contains(r.Sequence))
                        .ToListAsync()
                )
                {
                    _bySequence.TryAdd((device.Id, row.Boot, row.Sequence!.Value), row);
                }
            }
        }

        foreach (
            IGrouping<string, RowMeaning> ofChannel in rows.Where(r => r.Sequence is null)
                .GroupBy(r => r.Channel.Signature, StringComparer.Ordinal)
        )
        {
            long channel = _channels[(device.Id, ofChannel.Key)].Id;
            DateTimeOffset latest = await marks.InstantAsync(context, channel);
            List<DateTimeOffset> old = [.. ofChannel.Select(r => r.DeviceAt).Where(at => at <= latest)];
            if (old.Count > 0)
            {
                foreach (
                    ReceivedRow row in await context
                        .Set<ReceivedRow>()
                        .AsNoTracking()
                        .Where(r => r.ChannelId == channel && r.Sequence == null && old.Contains(r.DeviceAt))
                        .ToListAsync()
                )
                {
                    _byInstant.TryAdd((channel, row.DeviceAt), row);
                }
            }
        }
    }

    /// <summary>Readings that the record holds, or once held and somebody deleted, whoever wrote them.</summary>
    private async Task FindReadingsAsync(Device device, IReadOnlyList<RowMeaning> rows)
    {
        foreach (
            IGrouping<string, RowMeaning> ofChannel in rows.Where(r => r.Channel.Kind is RowKind.Reading)
                .GroupBy(r => r.Channel.Signature, StringComparer.Ordinal)
        )
        {
            DeviceChannel channel = _channels[(device.Id, ofChannel.Key)];
            List<DateTimeOffset> instants = [.. ofChannel.Select(r => r.At).Distinct()];
            var held = await context
                .Set<Reading>()
                .AsNoTracking()
                .Where(r =>
                    r.RigId == channel.RigId
                    && r.Place == channel.Place
                    && r.StageId == channel.StageId
                    && r.MeterId == channel.MeterId
                    && r.Measurand == channel.Measurand
                    && instants.Contains(r.At)
                )
                .OrderBy(r => r.IsDeleted)
                .Select(r => new { r.At, r.Value_SI })
                .ToListAsync();
            foreach (var reading in held)
            {
                _readings.TryAdd((channel.Id, reading.At), reading.Value_SI);
            }
        }
    }

    private async Task FinishRefusedAsync()
    {
        foreach (var ofDevice in _refused.GroupBy(r => r.Device))
        {
            Dictionary<string, RefusedRow> byDigest = [];
            List<RefusedRow> rows = [.. ofDevice.Select(r => RefusedOf(r.Device, r.Row, r.Reason))];
            foreach (byte[][] digests in rows.Select(r => r.Digest).Chunk(500))
            {
                foreach (
                    RefusedRow known in await context
                        .Set<RefusedRow>()
                        .Where(r => r.DeviceId == ofDevice.Key && digests.Contains(r.Digest))
                        .ToListAsync()
                )
                {
                    byDigest.TryAdd(Convert.ToHexString(known.Digest), known);
                }
            }

            foreach (RefusedRow refused in rows)
            {
                string key = Convert.ToHexString(refused.Digest);
                if (byDigest.TryGetValue(key, out RefusedRow? known))
                {
                    known.Times++;
                    known.LastAt = now;
                }
                else
                {
                    context.Add(refused);
                    byDigest.Add(key, refused);
                }
            }
        }
    }

    private RefusedRow RefusedOf(Guid device, RowText row, string why)
    {
        (string text, string reason) = (Kept(row.Raw), Kept(why));
        return new RefusedRow
        {
            DeviceId = device,
            Digest = SHA256.HashData(Encoding.UTF8.GetBytes(text + "\n" + reason)),
            Text = text,
            Reason = reason,
            Boot = int.TryParse(row["boot"], NumberStyles.None, CultureInfo.InvariantCulture, out int boot)
                ? boot
                : 0,
            Sequence = long.TryParse(
                row["sequence"],
                NumberStyles.None,
                CultureInfo.InvariantCulture,
                out long sequence
            )
                ? sequence
                : null,
            FirstAt = now,
            LastAt = now,
            Times = 1,
        };
    }

    /// <summary>What every database can keep of a text.</summary>
    private static string Kept(string text)
    {
        var kept = new StringBuilder(Math.Min(text.Length, LongestText));
        foreach (Rune rune in text.EnumerateRunes())
        {
            if (kept.Length >= LongestText)
            {
                return kept.Append('…').ToString();
            }

            kept.Append(rune.Value == 0 ? "\uFFFD" : rune.ToString());
        }

        return kept.ToString();
    }
}
