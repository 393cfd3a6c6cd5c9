using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Fleet;

/// <summary>
/// Keeps the board of all rigs. It follows the edits of the record, by whichever program they were written, and makes the rows anew of
/// the rigs that they touched; rows that time alone makes something else of are made anew when that time has come. Several may follow
/// at once: each row is made while the mark is held, of what the record says then.
/// </summary>
/// <param name="store">The whole record.</param>
public sealed class FleetBoard(LogbookStore store)
{
    private const int Together = 100; // rigs in a transaction, so that what else is written waits for some milliseconds only

    /// <summary>An edit of a number left out may still be written; after this time it was given up.</summary>
    private static readonly TimeSpan GivenUpAfter = TimeSpan.FromMinutes(2);

    private readonly HashSet<long> _followed = [];

    /// <summary>How long a board is followed before all of it is made anew.</summary>
    public static readonly TimeSpan Renewed = TimeSpan.FromDays(1);

    /// <summary>Brings the board up to date; returns how many rigs were looked at.</summary>
    /// <exception cref="RecordUnavailableException">The record cannot be read or written.</exception>
    public async Task<int> FollowAsync(CancellationToken cancel)
    {
        DateTimeOffset now = Instant.Now(store.Clock);
        FleetMark mark;
        List<(long Number, DateTimeOffset At)> edits;
        List<Id<Rig>> rigs;
        await using (LogbookContext context = store.Read())
        {
            mark =
                await context.Set<FleetMark>().AsNoTracking().FirstOrDefaultAsync(cancel) ?? new FleetMark();
            if (mark.MadeAt is null || now - mark.MadeAt >= Renewed)
            {
                return await MakeAnewAsync(cancel);
            }

            edits =
            [
                .. (
                    await context
                        .Edits.AsNoTracking()
                        .Where(e => e.Number > mark.Edit)
                        .OrderBy(e => e.Number)
                        .Select(e => new { e.Number, e.At })
                        .ToListAsync(cancel)
                ).Select(e => (e.Number, e.At)),
            ];
            rigs = await context
                .Set<FleetRig>()
                .Where(r => r.ChangesAt <= now)
                .Select(r => r.RigId)
                .ToListAsync(cancel);
            if (edits.Exists(e => !_followed.Contains(e.Number)))
            {
                long first = edits.Where(e => !_followed.Contains(e.Number)).Min(e => e.Number);
                rigs = [.. rigs.Union(await FleetTouched.SinceAsync(context, first, cancel))];
            }
        }

        await MakeAsync(rigs, cancel);
        long followed = LastWithoutGap(mark.Edit, edits, now);
        if (followed > mark.Edit)
        {
            await MarkAsync(m => m with { Edit = Math.Max(m.Edit, followed) }, cancel);
        }

        _followed.RemoveWhere(n => n <= followed);
        _followed.UnionWith(edits.Select(e => e.Number).Where(n => n > followed));
        return rigs.Count;
    }

    /// <summary>Makes the whole board anew; returns how many rigs are on it.</summary>
    /// <exception cref="RecordUnavailableException">The record cannot be read or written.</exception>
    public async Task<int> MakeAnewAsync(CancellationToken cancel)
    {
        DateTimeOffset now = Instant.Now(store.Clock);
        List<Id<Rig>> rigs;
        List<long> newest;
        await using (LogbookContext context = store.Read())
        {
            newest = await context
                .Edits.OrderByDescending(e => e.Number)
                .Select(e => e.Number)
                .Take(Together)
                .ToListAsync(cancel);
            // Those that are deleted too: they leave it.
            rigs = await context.Set<Rig>().Select(r => r.Id).ToListAsync(cancel);
        }

        await MakeAsync(rigs, cancel);
        // An edit that is being written has a number not far below the newest, and is followed when it is there.
        long mark = newest.Count < Together ? 0 : newest[^1];
        await MarkAsync(m => m with { MadeAt = now, Edit = Math.Max(m.Edit, mark) }, cancel);
        _followed.UnionWith(newest);
        return rigs.Count;
    }

    /// <summary>The rigs whose rows are not what the record says, by id; none on a board that was followed to the end.</summary>
    public async Task<IReadOnlyList<Guid>> DifferencesAsync(CancellationToken cancel)
    {
        DateTimeOffset now = Instant.Now(store.Clock);
        await using LogbookContext context = store.Read();
        List<Guid> differing = [];
        List<Id<Rig>> rigs = await context.Set<Rig>().Select(r => r.Id).ToListAsync(cancel);
        foreach (Id<Rig>[] some in rigs.Chunk(Together))
        {
            var made = await FleetFacts.LoadAsync(context, some, now, cancel);
            List<FleetRig> rows = await context
                .Set<FleetRig>()
                .AsNoTracking()
                .Where(r => some.Contains(r.RigId))
                .ToListAsync(cancel);
            ILookup<Id<Rig>, FleetStage> stages = (
                await context
                    .Set<FleetStage>()
                    .AsNoTracking()
                    .Where(s => some.Contains(s.RigId))
                    .ToListAsync(cancel)
            ).ToLookup(s => s.RigId);
            differing.AddRange(
                some.Where(id =>
                        made.TryGetValue(id, out (FleetRig Rig, List<FleetStage> Stages) said)
                            ? rows.Find(r => r.RigId == id) != said.Rig
                                || !AreSame(said.Stages, [.. stages[id]])
                            : rows.Exists(r => r.RigId == id)
                    )
                    .Select(id => id.Value)
            );
        }

        return differing;
    }

    private async Task MakeAsync(List<Id<Rig>> rigs, CancellationToken cancel)
    {
        foreach (Id<Rig>[] some in rigs.Chunk(Together))
        {
            await store.TransactAsync(
                async (context, _) =>
                {
                    await HoldAsync(context, cancel);
                    await PutAsync(context, some, Instant.Now(store.Clock), cancel);
                    return 0;
                },
                cancel
            );
        }
    }

    private static async Task PutAsync(
        LogbookContext context,
        Id<Rig>[] ids,
        DateTimeOffset now,
        CancellationToken cancel
    )
    {
        var made = await FleetFacts.LoadAsync(context, ids, now, cancel);
        List<FleetRig> rows = await context
            .Set<FleetRig>()
            .Where(r => ids.Contains(r.RigId))
            .ToListAsync(cancel);
        // A stage may have come from a rig that is not among them.
        List<Id<Stage>> theirs = [.. made.Values.SelectMany(m => m.Stages).Select(s => s.StageId)];
        List<FleetStage> stages = await context
            .Set<FleetStage>()
            .Where(s => ids.Contains(s.RigId) || theirs.Contains(s.StageId))
            .ToListAsync(cancel);
        Put(context, rows, made.Values.Select(m => m.Rig), r => r.RigId);
        Put(context, stages, made.Values.SelectMany(m => m.Stages), s => s.StageId);
    }

    private static void Put<TRow, TKey>(
        LogbookContext context,
        List<TRow> rows,
        IEnumerable<TRow> made,
        Func<TRow, TKey> keyOf
    )
        where TRow : class
        where TKey : notnull
    {
        Dictionary<TKey, TRow> old = rows.ToDictionary(keyOf);
        foreach (TRow row in made)
        {
            if (old.Remove(keyOf(row), out TRow? known))
            {
                context.Entry(known).CurrentValues.SetValues(row);
            }
            else
            {
                context.Add(row);
            }
        }

        context.RemoveRange(old.Values);
    }

    private static bool AreSame(List<FleetStage> made, List<FleetStage> kept) =>
        made.Count == kept.Count
        && made.TrueForAll(m =>
            kept.Find(k => k.StageId == m.StageId) is { } row
            && (m with { DaysQuantiles_d = null }) == (row with { DaysQuantiles_d = null })
            && (m.DaysQuantiles_d ?? []).SequenceEqual(row.DaysQuantiles_d ?? [])
        );

    /// <summary>Holds the mark until the transaction ends, so that a row is never made of less than the row before it.</summary>
    private static async Task<FleetMark> HoldAsync(LogbookContext context, CancellationToken cancel)
    {
        if (
            await context
                .Set<FleetMark>()
                .ExecuteUpdateAsync(m => m.SetProperty(x => x.Id, FleetMark.Only), cancel) == 0
        )
        {
            context.Add(new FleetMark());
            await context.SaveChangesAsync(cancel);
        }

        return await context.Set<FleetMark>().SingleAsync(cancel);
    }

    private Task<int> MarkAsync(Func<FleetMark, FleetMark> next, CancellationToken cancel) =>
        store.TransactAsync(
            async (context, _) =>
            {
                FleetMark mark = await HoldAsync(context, cancel);
                context.Entry(mark).CurrentValues.SetValues(next(mark));
                return 0;
            },
            cancel
        );

    /// <summary>The last edit below which none can still come: numbers are given before edits are written, and some are given up.</summary>
    private static long LastWithoutGap(
        long from,
        List<(long Number, DateTimeOffset At)> edits,
        DateTimeOffset now
    )
    {
        long last = from;
        foreach ((long number, DateTimeOffset at) in edits)
        {
            if (number > last + 1 && now - at < GivenUpAfter)
            {
                break;
            }

            last = number;
        }

        return last;
    }
}
