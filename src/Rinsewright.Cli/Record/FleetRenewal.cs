using System.Collections.Immutable;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Handouts;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rig = Rinsewright.Records.Logbook.Rig;

namespace Rinsewright.Cli.Record;

/// <summary>Makes and keeps the forecasts of the day for a record that is not served.</summary>
internal static class FleetRenewal
{
    private const int Members = 1000;
    private const int Seed = 1;

    /// <summary>
    /// Forecasts every rig that has none of today; says of each that cannot be forecast what is missing, of each that was not solved or
    /// not written why, and goes on.
    /// </summary>
    public static async Task RunAsync(LogbookStore store, Terminal terminal, CancellationToken cancel)
    {
        List<Id<Rig>> rigs;
        await using (LogbookContext context = store.Read())
        {
            rigs = await context.Live<Rig>().OrderBy(r => r.Id).Select(r => r.Id).ToListAsync(cancel);
        }

        foreach (Id<Rig> rig in rigs)
        {
            try
            {
                await RenewAsync(store, terminal, rig, cancel);
            }
            catch (UnsolvedException e)
            {
                terminal.Fail(e.Message);
            }
        }
    }

    private static async Task RenewAsync(
        LogbookStore store,
        Terminal terminal,
        Id<Rig> rig,
        CancellationToken cancel
    )
    {
        DateTimeOffset now = Instant.Now(store.Clock);
        await using LogbookContext context = store.Read();
        if (await RigHistory.LoadAsync(context, rig, now, cancel) is not { } history)
        {
            return;
        }

        DateOnly Local(DateTimeOffset at) =>
            DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(at, history.Zone).DateTime);
        List<DateTimeOffset> kept = await context
            .Live<KeptForecast>()
            .Where(f => f.RigId == rig)
            .OrderByDescending(f => f.At)
            .Select(f => f.At)
            .Take(1)
            .ToListAsync(cancel);
        if (kept is [var last] && Local(last) == Local(now))
        {
            return;
        }

        IReadOnlyList<InputProblem> missing = [];
        RigForecast? forecast = terminal.WithProgress(
            history.Rig.Name,
            progress =>
                RigForecast.Of(history, now, Members, Seed, out missing, terminal.Libraries, progress, cancel)
        );
        if (forecast is null)
        {
            foreach (InputProblem problem in missing)
            {
                await terminal.Error.WriteLineAsync($"{problem}");
            }

            return;
        }

        (IReadOnlyList<KeptForecast> made, ImmutableArray<WearForecast> wear) = UnsolvedException.Unless(
            history.Rig.Name,
            () =>
                (
                    ForecastKeeping.AllOf(store.Ids, forecast, RigBed.MeterFactorOf(history), now, Seed),
                    WearForecast.Of(history, now, Seed)
                )
        );
        IReadOnlyList<KeptWear> worn = await ForecastKeeping.NewWearAsync(
            context,
            store.Ids,
            wear,
            now,
            Seed,
            cancel
        );
        WriteOutcome outcome = await store.WriteAsync(
            ForecastKeeping.OfTheDay(made[0], Local(now)),
            [.. made, .. worn],
            cancel
        );
        terminal.Refuse([
            .. outcome.Problems.Select(p => p with { Place = $"{history.Rig.Name}: {p.Place}" }),
        ]);
    }
}
