using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Fleet;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Logging;

namespace Rinsewright.Web.Fleet;

/// <summary>What the pages and the API ask of the board, as far as the one who asks may see it.</summary>
public sealed class FleetDesk(LogbookStore store)
{
    /// <summary>Rigs on one page.</summary>
    public const int OnPage = 50;

    /// <summary>The moment.</summary>
    public DateTimeOffset Now => Instant.Now(store.Clock);

    /// <summary>Whether there are several rigs to compare.</summary>
    public async Task<bool> AreManyAsync(CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await context.Set<FleetRig>().Take(2).CountAsync(cancel) == 2;
    }

    /// <summary>Some rigs, the most urgent first.</summary>
    public async Task<FleetPart> PageAsync(FleetQuery query, int skip, int take, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await FleetList.PageAsync(context, query, skip, take, Now, cancel);
    }

    /// <summary>The rounds of the week.</summary>
    public async Task<IReadOnlyList<FleetRound>> RoundsAsync(string? van, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await FleetRoute.OfAsync(context, van, Now, cancel);
    }

    /// <summary>The board as a table.</summary>
    public async Task WriteCsvAsync(FleetQuery query, Stream output, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        await FleetCsv.WriteAsync(context, query, Now, output, cancel);
    }

    /// <summary>Gives rigs to a van, as one edit; nothing when one of them is not there.</summary>
    /// <param name="rigs">The rigs.</param>
    /// <param name="change">What is to be written of each.</param>
    /// <param name="by">Who does it.</param>
    /// <param name="cancel">Stops it.</param>
    public async Task<WriteOutcome?> PlaceAsync(
        IReadOnlyCollection<Guid> rigs,
        Func<Rig, Rig> change,
        string? by,
        CancellationToken cancel
    )
    {
        List<Id<Rig>> ids = [.. rigs.Distinct().Select(r => new Id<Rig>(r))];
        List<Rig> known;
        await using (LogbookContext context = store.Read())
        {
            known = await context.Live<Rig>().Where(r => ids.Contains(r.Id)).ToListAsync(cancel);
        }

        return known.Count != ids.Count ? null
            : known.Count == 0
                ? new WriteOutcome(
                    null,
                    [new InputProblem("rigs", Sentence.Of("none"), "at least one rig, ticked in the list")]
                )
            : await store.WriteAsync(
                new EditDraft(LogEntries.Author(by), "where rigs stand and who sees to them"),
                [.. known.Select(change)],
                cancel
            );
    }

    /// <summary>A written name; nothing where only blanks were written.</summary>
    public static string? Named(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();
}
