using System.Globalization;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Water;

namespace Rinsewright.Records.Ingest;

/// <summary>
/// Makes entries of channels: of samples one clean reading an interval, of counts draws. A late row makes its interval or its day due
/// again, and the entries made of it are changed, as new versions. An entry that a person changed or deleted is left as it is.
/// </summary>
/// <param name="store">The record.</param>
/// <param name="rowsAtOnce">Rows that are held in memory at once; more are taken piece by piece (our choice).</param>
internal sealed class ChannelReduction(LogbookStore store, int rowsAtOnce = 100_000)
{
    /// <summary>How long after an interval's end its rows are waited for (our choice).</summary>
    private static readonly TimeSpan Grace = TimeSpan.FromMinutes(1);

    /// <summary>How far before a row others lie that are looked at with it.</summary>
    public static readonly TimeSpan Reach = 2 * InlineFilter.Usual.HalfWidth;

    private const int ChannelsAtOnce = 500;

    /// <summary>Notes that a row has come of which no entry was made.</summary>
    public static void Mark(DeviceChannel channel, Device device, DateTimeOffset at, DateTimeOffset now)
    {
        if (channel.Kind is RowKind.Reading)
        {
            return;
        }

        DateTimeOffset due =
            channel.Kind is RowKind.Sample
                ? IntervalOf(at, device) + Interval(device) + Grace
                : channel.DueAt ?? now + Pause(device) + Grace;
        if (channel.DirtyFrom is null || at < channel.DirtyFrom || due < channel.DueAt)
        {
            channel.DirtyFrom = channel.DirtyFrom < at ? channel.DirtyFrom : at;
            channel.DueAt = channel.DueAt < due ? channel.DueAt : due;
            channel.Revision++;
        }
    }

    /// <summary>Makes entries of every channel that is due; one of which none can be made does not hold back the others.</summary>
    /// <exception cref="AggregateException">What was wrong with such channels, when all others are done.</exception>
    public async Task<int> RunAsync(CancellationToken cancel)
    {
        int written = 0;
        List<long> failed = [];
        List<Exception> problems = [];
        DateTimeOffset now = Instant.Now(store.Clock);
        List<long> due;
        do
        {
            await using (LogbookContext context = store.Read())
            {
                due = await context
                    .Set<DeviceChannel>()
                    .Where(s => s.DueAt <= now && !failed.Contains(s.Id))
                    .OrderBy(s => s.DueAt)
                    .Select(s => s.Id)
                    .Take(ChannelsAtOnce)
                    .ToListAsync(cancel);
            }

            foreach (long id in due)
            {
                try
                {
                    written += await store.TransactAsync(
                        (context, _) => ReduceAsync(context, id, now),
                        cancel
                    );
                }
                catch (Exception problem)
                    when (problem is not (OperationCanceledException or RecordUnavailableException))
                {
                    failed.Add(id);
                    problems.Add(problem);
                }
            }
        } while (due.Count > 0);

        return problems.Count == 0 ? written : throw new AggregateException(problems);
    }

    private async Task<int> ReduceAsync(LogbookContext context, long id, DateTimeOffset now)
    {
        DeviceChannel channel = await context.Set<DeviceChannel>().SingleAsync(s => s.Id == id);
        if (channel.DirtyFrom is not { } from)
        {
            return 0;
        }

        Device device = await context.Set<Device>().AsNoTracking().SingleAsync(d => d.Id == channel.DeviceId);
        Reduced reduced =
            channel.Kind is RowKind.Sample
                ? await ReadingsAsync(context, channel, device, from, now)
                : await DrawsAsync(context, channel, device, from, now);
        channel.Revision++;
        channel.DirtyFrom = reduced.OpenFrom;
        channel.DueAt = reduced.OpenFrom is null ? null : reduced.DueAt;
        return await PutAsync(context, channel, device, reduced, now);
    }

    private async Task<Reduced> ReadingsAsync(
        LogbookContext context,
        DeviceChannel channel,
        Device device,
        DateTimeOffset from,
        DateTimeOffset now
    )
    {
        InlineFilter filter = InlineFilter.Usual;
        TimeSpan interval = Interval(device);
        // A row of the window's other half can make a neighbour a spike, so that the intervals it reaches are due as well.
        DateTimeOffset first = IntervalOf(from - filter.HalfWidth, device);
        DateTimeOffset since = first - filter.HalfWidth;
        List<ReceivedRow> rows = await RowsAsync(context, channel, since, rowsAtOnce);
        DateTimeOffset? cut =
            rows.Count == rowsAtOnce ? IntervalOf(rows[^1].At - filter.HalfWidth, device) : null;
        // The next piece begins a reach before the cut: where that is here again, all must be taken at once.
        if (cut is { } until && IntervalOf(until - filter.HalfWidth, device) <= first)
        {
            rows = await RowsAsync(context, channel, since, int.MaxValue);
            cut = null;
        }

        // Water that stands in the line is not what the bed delivers. Where no flow is stated, none is known to stand.
        rows.RemoveAll(r => r.Flow_m3_s == 0);
        DateTimeOffset[] at = [.. rows.Select(r => r.At)];
        double[] values = [.. rows.Select(r => r.Value)];
        var spikes = filter.SpikesOf(at, values);
        List<(DateTimeOffset, Entry)> made = [];
        DateTimeOffset? open = null;
        foreach (
            IGrouping<DateTimeOffset, ReceivedRow> window in rows.Where((_, i) => !spikes[i])
                .Where(r => r.At >= first)
                .GroupBy(r => IntervalOf(r.At, device))
        )
        {
            if (window.Key >= cut || window.Key + interval + Grace > now)
            {
                open ??= window.Key;
            }
            else
            {
                made.Add((window.Key, ReadingOf(channel, [.. window])));
            }
        }

        return new Reduced(
            made,
            first,
            cut ?? open,
            cut is not null ? now
                : open is { } at0 ? IntervalOf(at0, device) + interval + Grace
                : default
        );
    }

    private Reading ReadingOf(DeviceChannel channel, List<ReceivedRow> rows)
    {
        Measurand measurand = channel.Measurand!.Value;
        if (!MeasurandText.TryFindUnit(measurand, channel.Unit, out UnitScale? scale))
        {
            throw new InvalidOperationException(
                FormattableString.Invariant($"channel {channel.Id}: {channel.Unit}: no unit of {measurand}")
            );
        }

        double level = InlineFilter.LevelOf([.. rows.Select(r => r.Value)]).Median;
        string written = Written(measurand, (level - scale.Offset) / scale.Scale);
        return new Reading
        {
            Id = store.Ids.Next<Reading>(),
            RigId = channel.RigId,
            Place = channel.Place,
            StageId = channel.StageId,
            MeterId = channel.MeterId,
            // In the middle of its rows: they may all lie in one part of the interval.
            At = rows[rows.Count / 2].At,
            Measurand = measurand,
            // Of what is written, so that a table of readings says the same as the record.
            Value_SI = scale.ToSI(double.Parse(written, CultureInfo.InvariantCulture)),
            Written = written,
            Unit = channel.Unit,
            Temperature_K = MedianOf(rows.Select(r => r.Temperature_K)),
            Flow_m3_s = MedianOf(rows.Select(r => r.Flow_m3_s)),
        };
    }

    /// <summary>Four digits, of what a meter has counted all; never with an exponent.</summary>
    private static string Written(Measurand measurand, double number)
    {
        double rounded =
            measurand is Measurand.MeterTotal
                ? Math.Round(number, 3)
                : double.Parse(
                    number.ToString("G4", CultureInfo.InvariantCulture),
                    CultureInfo.InvariantCulture
                );
        return rounded.ToString("0.##############", CultureInfo.InvariantCulture);
    }

    private async Task<Reduced> DrawsAsync(
        LogbookContext context,
        DeviceChannel channel,
        Device device,
        DateTimeOffset from,
        DateTimeOffset now
    )
    {
        // A draw ends with its day, so that a day can be counted by itself; its first increment needs the count before it.
        DateTimeOffset day = new(from.UtcDateTime.Date, TimeSpan.Zero);
        ReceivedRow? before = await context
            .Set<ReceivedRow>()
            .AsNoTracking()
            .Where(r => r.ChannelId == channel.Id && r.At < day)
            .OrderByDescending(r => r.At)
            .FirstOrDefaultAsync();
        List<ReceivedRow> rows = await RowsAsync(context, channel, day, rowsAtOnce);
        DateTimeOffset? cut =
            rows.Count == rowsAtOnce ? new(rows[^1].At.UtcDateTime.Date, TimeSpan.Zero) : null;
        if (cut <= day)
        {
            rows = await RowsAsync(context, channel, day, int.MaxValue);
            cut = null;
        }

        if (before is not null)
        {
            rows.Insert(0, before);
        }

        IReadOnlyList<PulseDraw> draws = device.PulsesPerLiter is { } pulses
            ? new PulseMeter(pulses, device.CounterSize, Pause(device)).DrawsOf(
                [.. rows.Select(r => new PulseCount(r.At, r.Value))],
                now
            )
            : [];
        return new Reduced(
            [
                .. draws
                    .Where(d => d.IsClosed && !(d.FirstRise >= cut))
                    .Select(d => (d.FirstRise, (Entry)DrawOf(channel, d))),
            ],
            day,
            cut ?? draws.FirstOrDefault(d => !d.IsClosed)?.FirstRise,
            cut is null ? now + Pause(device) + Grace : now
        );
    }

    private static Task<List<ReceivedRow>> RowsAsync(
        LogbookContext context,
        DeviceChannel channel,
        DateTimeOffset since,
        int most
    ) =>
        context
            .Set<ReceivedRow>()
            .AsNoTracking()
            .Where(r => r.ChannelId == channel.Id && r.At >= since)
            .OrderBy(r => r.At)
            .ThenBy(r => r.Id)
            .Take(most)
            .ToListAsync();

    private Draw DrawOf(DeviceChannel channel, PulseDraw draw) =>
        new()
        {
            Id = store.Ids.Next<Draw>(),
            RigId = channel.RigId,
            StageId = channel.StageId,
            At = draw.Start,
            Volume_m3 = draw.Volume_m3,
            VolumeWritten = string.Create(CultureInfo.InvariantCulture, $"{1000 * draw.Volume_m3:0.##} L"),
            Basis = VolumeBasis.Measured,
            Flow_m3_s = draw.Flow_m3_s,
        };

    private async Task<int> PutAsync(
        LogbookContext context,
        DeviceChannel channel,
        Device device,
        Reduced reduced,
        DateTimeOffset now
    )
    {
        Dictionary<DateTimeOffset, DerivedEntry> known = await context
            .Set<DerivedEntry>()
            .Where(d => d.ChannelId == channel.Id && d.StartsAt >= reduced.Since)
            .ToDictionaryAsync(d => d.StartsAt);
        List<Entry> changed = [];
        foreach ((DateTimeOffset start, Entry made) in reduced.Made)
        {
            if (!known.Remove(start, out DerivedEntry? derived))
            {
                changed.Add(made);
                context.Add(
                    new DerivedEntry
                    {
                        ChannelId = channel.Id,
                        StartsAt = start,
                        Key = made.Key,
                    }
                );
            }
            else if (await OwnAsync(context, device, made, derived.Key) is { } current)
            {
                Entry next = WithIdentity(made, current);
                if (!next.Equals(current))
                {
                    changed.Add(next);
                }
            }
        }

        // What is left was made of rows that now belong to something else; an open stretch keeps what was made of it until it ends.
        foreach (
            DerivedEntry gone in known.Values.Where(d =>
                reduced.OpenFrom is null || d.StartsAt < reduced.OpenFrom
            )
        )
        {
            EntryKind kind =
                channel.Kind is RowKind.Sample ? EntryKind.Named("reading")! : EntryKind.Named("draw")!;
            if (
                await kind.FindAsync(context, gone.Key, CancellationToken.None) is { IsDeleted: false } entry
                && await IsOwnAsync(context, device, entry)
            )
            {
                changed.Add(kind.AsDeleted(entry));
            }

            context.Remove(gone);
        }

        return changed.Count == 0 ? 0 : await WriteAsync(context, device, changed, now);
    }

    private async Task<int> WriteAsync(
        LogbookContext context,
        Device device,
        List<Entry> changed,
        DateTimeOffset now
    )
    {
        var problems = new ProblemList();
        List<Entry> sound = [];
        foreach (Entry entry in changed)
        {
            int before = problems.Problems.Count;
            EntryCheck.Run(entry, problems);
            if (problems.Problems.Count == before && !await IsTakenAsync(context, entry))
            {
                sound.Add(entry);
            }
        }

        if (sound.Count == 0)
        {
            return 0;
        }

        var edit = new Edit
        {
            At = now,
            Author = device.Name,
            Reason = "",
            IdempotencyKey = store.Ids.Next(),
            OrganisationId = await Ownership.OfAsync(context, sound[0], CancellationToken.None),
        };
        context.Add(edit);
        await context.SaveChangesAsync();
        foreach (Entry entry in sound)
        {
            await LogbookStore.PutAsync(context, edit.Number, entry, problems, CancellationToken.None);
        }

        return sound.Count;
    }

    /// <summary>Whether another reading stands at the same instant, which only one can.</summary>
    private static async Task<bool> IsTakenAsync(LogbookContext context, Entry entry) =>
        entry is Reading { IsDeleted: false } reading
        && await context
            .Set<Reading>()
            .AnyAsync(r =>
                r.RigId == reading.RigId
                && r.At == reading.At
                && r.Measurand == reading.Measurand
                && r.Place == reading.Place
                && r.StageId == reading.StageId
                && r.MeterId == reading.MeterId
                && !r.IsDeleted
                && r.Id != reading.Id
            );

    private static async Task<Entry?> OwnAsync(LogbookContext context, Device device, Entry made, Guid key) =>
        await EntryKind.Of(made).FindAsync(context, key, CancellationToken.None)
            is { IsDeleted: false } current
        && await IsOwnAsync(context, device, current)
            ? current
            : null;

    private static Task<bool> IsOwnAsync(LogbookContext context, Device device, Entry entry) =>
        context.Edits.AnyAsync(e => e.Number == entry.EditNumber && e.Author == device.Name);

    private static Entry WithIdentity(Entry made, Entry current) =>
        (made, current) switch
        {
            (Reading reading, Reading was) => reading with
            {
                Id = was.Id,
                Version = was.Version,
                EditNumber = was.EditNumber,
            },
            (Draw draw, Draw was) => draw with
            {
                Id = was.Id,
                Version = was.Version,
                EditNumber = was.EditNumber,
            },
            _ => throw new InvalidOperationException("A channel becomes readings or draws."),
        };

    private static double? MedianOf(IEnumerable<double?> values)
    {
        double[] stated = [.. values.OfType<double>()];
        return stated.Length == 0 ? null : InlineFilter.LevelOf(stated).Median;
    }

    public static TimeSpan Interval(Device device) => TimeSpan.FromSeconds(device.Interval_s);

    private static TimeSpan Pause(Device device) => TimeSpan.FromSeconds(device.Pause_s);

    /// <summary>The start of the interval that an instant lies in.</summary>
    public static DateTimeOffset IntervalOf(DateTimeOffset at, Device device)
    {
        long length = Interval(device).Ticks;
        return new(at.UtcTicks - (at.UtcTicks % length), TimeSpan.Zero);
    }

    /// <summary>Entries of a stretch of a channel, by the start of each.</summary>
    /// <param name="Made">What it amounts to.</param>
    /// <param name="Since">Where the stretch begins; it reaches to the present.</param>
    /// <param name="OpenFrom">From where nothing can be made yet.</param>
    /// <param name="DueAt">When that can be tried.</param>
    private sealed record Reduced(
        IReadOnlyList<(DateTimeOffset Start, Entry Made)> Made,
        DateTimeOffset Since,
        DateTimeOffset? OpenFrom,
        DateTimeOffset DueAt
    );
}
