using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Fleet;

/// <summary>A rig that is gone to, once: what is due at it within the week is changed together.</summary>
/// <param name="Rig">The rig.</param>
/// <param name="Stages">What is changed, the first due first.</param>
public sealed record FleetVisit(FleetRig Rig, IReadOnlyList<FleetStage> Stages);

/// <summary>The visits of a van on a day, in their order.</summary>
/// <param name="Day">The day, where the rigs are.</param>
/// <param name="Visits">The visits.</param>
public sealed record FleetDay(DateOnly Day, IReadOnlyList<FleetVisit> Visits);

/// <summary>What a van has to do and to carry in a week.</summary>
/// <param name="Van">Its name; nothing for rigs that no van sees to.</param>
/// <param name="Days">Its days that have visits.</param>
/// <param name="Stock">What it loads.</param>
public sealed record FleetRound(string? Van, IReadOnlyList<FleetDay> Days, IReadOnlyList<FleetStock> Stock)
{
    /// <summary>How many rigs it goes to.</summary>
    public int Visits => Days.Sum(d => d.Visits.Count);
}

/// <summary>The week's rounds of all vans, without a map: by day, the rigs of one site together, the site of the most urgent rig first.</summary>
public static class FleetRoute
{
    /// <summary>How far it looks.</summary>
    public static TimeSpan Ahead => FleetRule.DueWithin;

    /// <summary>The rounds of the coming week, by van; what no van sees to comes last.</summary>
    /// <param name="context">The record.</param>
    /// <param name="van">Only this van; empty for what no van sees to; nothing for all.</param>
    /// <param name="now">The moment of asking.</param>
    /// <param name="cancel">Stops it.</param>
    public static async Task<IReadOnlyList<FleetRound>> OfAsync(
        LogbookContext context,
        string? van,
        DateTimeOffset now,
        CancellationToken cancel
    )
    {
        DateTimeOffset end = now + Ahead;
        IQueryable<FleetRig> rigs = context.Set<FleetRig>().AsNoTracking();
        if (van is not null)
        {
            rigs = van.Length == 0 ? rigs.Where(r => r.Van == null) : rigs.Where(r => r.Van == van);
        }

        // All that may have to be changed: of most of it only the chance counts.
        List<(string? Van, FleetStage Stage)> stages =
        [
            .. (
                await context
                    .Set<FleetStage>()
                    .AsNoTracking()
                    .Where(s => s.MayBeDueAt <= end)
                    .Join(rigs, s => s.RigId, r => r.RigId, (s, r) => new { r.Van, Stage = s })
                    .ToListAsync(cancel)
            ).Select(s => (s.Van, s.Stage)),
        ];
        ILookup<Id<Rig>, FleetStage> due = stages
            .Select(s => s.Stage)
            .Where(s => IsDue(s, end))
            .OrderBy(s => s.DueAt)
            .ThenBy(s => s.StageId)
            .ToLookup(s => s.RigId);
        List<FleetRig> gone = await FleetRule.Ordered(rigs.Where(r => r.DueAt <= end)).ToListAsync(cancel);
        ILookup<string?, FleetRig> byVan = gone.ToLookup(r => r.Van, StringComparer.Ordinal);
        ILookup<string?, FleetStage> carried = stages.ToLookup(
            s => s.Van,
            s => s.Stage,
            StringComparer.Ordinal
        );
        return
        [
            .. byVan
                .Select(g => g.Key)
                .Union(carried.Select(g => g.Key), StringComparer.Ordinal)
                .OrderBy(v => v is null)
                .ThenBy(v => v, StringComparer.OrdinalIgnoreCase)
                .Select(v => new FleetRound(
                    v,
                    DaysOf(byVan[v], due, now),
                    FleetStock.Of(carried[v], s => IsDue(s, end) ? 1 : s.ChanceDueBy(end))
                )),
        ];
    }

    private static bool IsDue(FleetStage stage, DateTimeOffset end) => stage.DueAt <= end;

    private static List<FleetDay> DaysOf(
        IEnumerable<FleetRig> rigs,
        ILookup<Id<Rig>, FleetStage> due,
        DateTimeOffset now
    ) =>
        [
            .. rigs.GroupBy(r => DayOf(r, now))
                .OrderBy(d => d.Key)
                .Select(d => new FleetDay(
                    d.Key,
                    [
                        // The rigs come in the order of the board, so the first of a site is its most urgent.
                        .. d.GroupBy(r => r.Site ?? r.RigId.ToString(), StringComparer.Ordinal)
                            .SelectMany(site => site)
                            .Select(r => new FleetVisit(r, [.. due[r.RigId]])),
                    ]
                )),
        ];

    /// <summary>The day on which a rig is gone to: when it is due, or today where that has passed.</summary>
    private static DateOnly DayOf(FleetRig rig, DateTimeOffset now)
    {
        TimeZoneInfo zone = TimeZoneInfo.TryFindSystemTimeZoneById(rig.TimeZone, out TimeZoneInfo? known)
            ? known
            : TimeZoneInfo.Utc;
        DateTimeOffset at = rig.DueAt is { } due && due > now ? due : now;
        return DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(at, zone).DateTime);
    }
}
