using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Fleet;

/// <summary>Finds the rigs whose rows on the board may be others since some edit.</summary>
internal static class FleetTouched
{
    /// <summary>The rigs of entries whose newest version that edit wrote, or a later one.</summary>
    public static async Task<IReadOnlyCollection<Id<Rig>>> SinceAsync(
        LogbookContext context,
        long edit,
        CancellationToken cancel
    )
    {
        HashSet<Id<Rig>> rigs = [];
        foreach (
            IQueryable<Id<Rig>> touched in (IQueryable<Id<Rig>>[])
                [
                    context.Set<Rig>().Where(e => e.EditNumber >= edit).Select(e => e.Id),
                    context.Set<Stage>().Where(e => e.EditNumber >= edit).Select(e => e.RigId),
                    // The rig that a stage stood in before, too.
                    context
                        .Set<Stage>()
                        .Where(e => e.EditNumber >= edit)
                        .Join(context.Set<FleetStage>(), s => s.Id, f => f.StageId, (_, f) => f.RigId),
                    context.Set<Reading>().Where(e => e.EditNumber >= edit).Select(e => e.RigId),
                    context.Set<Draw>().Where(e => e.EditNumber >= edit).Select(e => e.RigId),
                    context.Set<KeptForecast>().Where(e => e.EditNumber >= edit).Select(e => e.RigId),
                    context.Set<KeptWear>().Where(e => e.EditNumber >= edit).Select(e => e.RigId),
                    context
                        .Set<Fill>()
                        .Where(e => e.EditNumber >= edit)
                        .Join(context.Set<Stage>(), f => f.StageId, s => s.Id, (_, s) => s.RigId),
                    context
                        .Set<Season>()
                        .Where(e => e.EditNumber >= edit)
                        .SelectMany(e =>
                            context.Set<Rig>().Where(r => r.SourceId == e.SourceId).Select(r => r.Id)
                        ),
                ]
        )
        {
            rigs.UnionWith(await touched.Distinct().ToListAsync(cancel));
        }

        return rigs;
    }
}
