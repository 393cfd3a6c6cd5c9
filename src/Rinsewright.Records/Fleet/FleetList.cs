using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Fleet;

/// <summary>Which rigs of the board are asked for.</summary>
public sealed record FleetQuery
{
    /// <summary>Part of a name, site or van, without regard to case.</summary>
    public string? Text { get; init; }

    /// <summary>Only those of which one of these is to be said.</summary>
    public FleetReasons Reason { get; init; }

    /// <summary>Only those of this van; empty for those that no van sees to.</summary>
    public string? Van { get; init; }

    /// <summary>Only those whose next change-out is due before.</summary>
    public DateTimeOffset? DueBefore { get; init; }
}

/// <summary>One rig as it is shown.</summary>
/// <param name="Rig">Its row.</param>
/// <param name="Organisation">Whom it belongs to, where the record is kept for several.</param>
/// <param name="PassedNow">Probability that the stage which is changed next is past its end now, by its kept forecast [-].</param>
public sealed record FleetRow(FleetRig Rig, string? Organisation, double? PassedNow);

/// <summary>Some rigs of the board, the most urgent first.</summary>
/// <param name="Rows">The rigs.</param>
/// <param name="Total">How many were found in all.</param>
/// <param name="Counts">How many there are for each reason among those found without regard to it.</param>
/// <param name="All">How many those are.</param>
/// <param name="Vans">The names of all vans.</param>
public sealed record FleetPart(
    IReadOnlyList<FleetRow> Rows,
    int Total,
    IReadOnlyDictionary<FleetReasons, int> Counts,
    int All,
    IReadOnlyList<string> Vans
);

/// <summary>Reads the board. It computes nothing but how far each kept forecast has come.</summary>
public static class FleetList
{
    /// <summary>Everything that can be said of a rig, one by one.</summary>
    public static IReadOnlyList<FleetReasons> Reasons { get; } =
    [.. Enum.GetValues<FleetReasons>().Where(r => r is not FleetReasons.None).Order()];

    /// <summary>The name of a reason in addresses, options and answers.</summary>
    public static string NameOf(FleetReasons reason) => ColumnName.Of(reason.ToString());

    /// <summary>The name of an urgency in answers.</summary>
    public static string NameOf(FleetUrgency urgency) => ColumnName.Of(urgency.ToString());

    /// <summary>The name of a kind of stage in answers.</summary>
    public static string NameOf(StageKind kind) => ColumnName.Of(kind.ToString());

    /// <summary>The reason of a name.</summary>
    public static FleetReasons? Named(string? name) =>
        Reasons
            .Where(r => string.Equals(NameOf(r), name, StringComparison.Ordinal))
            .Select(r => (FleetReasons?)r)
            .FirstOrDefault();

    /// <summary>The reasons that a rig has, one by one.</summary>
    public static IEnumerable<FleetReasons> Each(FleetReasons reasons) =>
        Reasons.Where(r => reasons.HasFlag(r));

    /// <summary>One page.</summary>
    /// <param name="context">The record.</param>
    /// <param name="query">Which rigs.</param>
    /// <param name="skip">How many to pass over.</param>
    /// <param name="take">How many at most.</param>
    /// <param name="now">The moment of asking.</param>
    /// <param name="cancel">Stops it.</param>
    public static async Task<FleetPart> PageAsync(
        LogbookContext context,
        FleetQuery query,
        int skip,
        int take,
        DateTimeOffset now,
        CancellationToken cancel
    )
    {
        IQueryable<FleetRig> found = Found(context, query);
        List<(FleetReasons Reasons, int Count)> groups =
        [
            .. (
                await found
                    .GroupBy(r => r.Reasons)
                    .Select(g => new { g.Key, Count = g.Count() })
                    .ToListAsync(cancel)
            ).Select(g => (g.Key, g.Count)),
        ];
        List<FleetRig> rigs = await FleetRule
            .Ordered(OfReason(found, query.Reason))
            .Skip(skip)
            .Take(take)
            .ToListAsync(cancel);
        return new FleetPart(
            await RowsAsync(context, rigs, now, cancel),
            groups
                .Where(g =>
                    query.Reason is FleetReasons.None || (g.Reasons & query.Reason) != FleetReasons.None
                )
                .Sum(g => g.Count),
            Reasons.ToDictionary(r => r, r => groups.Where(g => g.Reasons.HasFlag(r)).Sum(g => g.Count)),
            groups.Sum(g => g.Count),
            await VansAsync(context, cancel)
        );
    }

    /// <summary>All that are found, the most urgent first, some at a time.</summary>
    public static async IAsyncEnumerable<FleetRow> AllAsync(
        LogbookContext context,
        FleetQuery query,
        DateTimeOffset now,
        [System.Runtime.CompilerServices.EnumeratorCancellation] CancellationToken cancel
    )
    {
        const int Together = 500;
        List<Id<Rig>> ids = await FleetRule
            .Ordered(OfReason(Found(context, query), query.Reason))
            .Select(r => r.RigId)
            .ToListAsync(cancel);
        foreach (Id<Rig>[] some in ids.Chunk(Together))
        {
            List<FleetRig> rigs = await FleetRule
                .Ordered(context.Set<FleetRig>().AsNoTracking().Where(r => some.Contains(r.RigId)))
                .ToListAsync(cancel);
            foreach (FleetRow row in await RowsAsync(context, rigs, now, cancel))
            {
                yield return row;
            }
        }
    }

    /// <summary>The names of all vans, by name.</summary>
    public static async Task<IReadOnlyList<string>> VansAsync(
        LogbookContext context,
        CancellationToken cancel
    ) =>
        [
            .. (
                await context
                    .Set<FleetRig>()
                    .Where(r => r.Van != null)
                    .Select(r => r.Van!)
                    .Distinct()
                    .ToListAsync(cancel)
            ).Order(StringComparer.OrdinalIgnoreCase),
        ];

    private static IQueryable<FleetRig> Found(LogbookContext context, FleetQuery query)
    {
        IQueryable<FleetRig> rigs = context.Set<FleetRig>().AsNoTracking();
        if (query.Text?.Trim().ToUpperInvariant() is { Length: > 0 } text)
        {
            rigs = rigs.Where(r => r.Sought.Contains(text));
        }

        if (query.Van is { } van)
        {
            rigs = van.Length == 0 ? rigs.Where(r => r.Van == null) : rigs.Where(r => r.Van == van);
        }

        if (query.DueBefore is { } end)
        {
            rigs = rigs.Where(r => r.DueAt < end);
        }

        return rigs;
    }

    private static IQueryable<FleetRig> OfReason(IQueryable<FleetRig> rigs, FleetReasons reason) =>
        reason is FleetReasons.None ? rigs : rigs.Where(r => (r.Reasons & reason) != FleetReasons.None);

    private static async Task<IReadOnlyList<FleetRow>> RowsAsync(
        LogbookContext context,
        List<FleetRig> rigs,
        DateTimeOffset now,
        CancellationToken cancel
    )
    {
        List<Id<Stage>> next = [.. rigs.Select(r => r.DueStageId).OfType<Id<Stage>>()];
        Dictionary<Id<Stage>, FleetStage> stages = await context
            .Set<FleetStage>()
            .AsNoTracking()
            .Where(s => next.Contains(s.StageId))
            .ToDictionaryAsync(s => s.StageId, cancel);
        List<Id<Organisation>> owners =
        [
            .. rigs.Select(r => r.OrganisationId).OfType<Id<Organisation>>().Distinct(),
        ];
        Dictionary<Id<Organisation>, string> names = await context
            .Live<Organisation>()
            .Where(o => owners.Contains(o.Id))
            .ToDictionaryAsync(o => o.Id, o => o.Name, cancel);
        return
        [
            .. rigs.Select(r => new FleetRow(
                r,
                r.OrganisationId is { } owner ? names.GetValueOrDefault(owner) : null,
                r.DueStageId is { } stage && stages.TryGetValue(stage, out FleetStage? due)
                    ? due.ChanceAt(now)
                    : null
            )),
        ];
    }
}
