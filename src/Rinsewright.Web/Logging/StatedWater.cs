using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Logging;

/// <summary>Keeps what a person states of a rig's water as the water of the present season.</summary>
public sealed class StatedWater(LogbookStore store, SourceWaters waters)
{
    /// <summary>Writes the text of a water file; nothing when there is no such rig.</summary>
    public async Task<WriteOutcome?> WriteAsync(
        Id<Rig> id,
        string waterFile,
        string? by,
        CancellationToken cancel
    )
    {
        Completed water = waters.Of(waterFile);
        await using LogbookContext context = store.Read();
        if (await context.Live<Rig>().FirstOrDefaultAsync(r => r.Id == id, cancel) is not { } rig)
        {
            return null;
        }

        if (water.Source is null)
        {
            return new WriteOutcome(null, water.Problems);
        }

        List<Entry> entries = [];
        if (rig.SourceId is not { } source)
        {
            var tap = new Source { Id = store.Ids.Next<Source>(), Name = $"{rig.Name}: tap" };
            source = tap.Id;
            entries.AddRange([tap, rig with { SourceId = source }]);
        }

        DateTimeOffset now = store.Clock.GetUtcNow();
        RigHistory history = (await RigHistory.LoadAsync(context, id, now, cancel))!;
        Season season =
            history.SeasonAt(now)
            ?? new Season
            {
                Id = store.Ids.Next<Season>(),
                SourceId = source,
                Name = "all year",
            };
        entries.Add(season with { WaterFile = waterFile });
        return await store.WriteAsync(new EditDraft(LogEntries.Author(by), "water stated"), entries, cancel);
    }
}
