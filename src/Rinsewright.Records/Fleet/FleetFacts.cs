using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Fleet;

/// <summary>What the record says of some rigs, read for all of them together and put in its place by <see cref="FleetRule"/>.</summary>
internal static class FleetFacts
{
    private const double MoreLikelyThanNot = 0.5;

    private static readonly Measurand[] Strengths =
    [
        Measurand.DissolvedSolids,
        Measurand.SpecificConductance,
        Measurand.Conductivity,
    ];

    /// <summary>Reads them; rigs that are not there, or deleted, are left out.</summary>
    public static async Task<Dictionary<Id<Rig>, (FleetRig Rig, List<FleetStage> Stages)>> LoadAsync(
        LogbookContext context,
        IReadOnlyCollection<Id<Rig>> ids,
        DateTimeOffset now,
        CancellationToken cancel
    )
    {
        List<Rig> rigs = await context.Live<Rig>().Where(r => ids.Contains(r.Id)).ToListAsync(cancel);
        ILookup<Id<Rig>, Stage> stages = (
            await context.Live<Stage>().Where(s => ids.Contains(s.RigId)).ToListAsync(cancel)
        )
            .OrderBy(s => s.Position)
            .ThenBy(s => s.Id.Value)
            .ToLookup(s => s.RigId);
        List<Id<Stage>> stageIds = [.. stages.SelectMany(s => s).Select(s => s.Id)];
        Dictionary<Id<Stage>, Fill> present = (
            await context
                .Live<Fill>()
                .Where(f => stageIds.Contains(f.StageId) && f.TakenOutAt == null)
                .ToListAsync(cancel)
        )
            .GroupBy(f => f.StageId)
            .ToDictionary(g => g.Key, g => g.MaxBy(f => (f.PutInAt, f.Id.Value))!);
        Dictionary<Id<Fill>, Forecast> forecasts = await BedsAsync(context, stages, present, cancel);
        foreach ((Id<Fill> fill, Forecast wear) in await WearAsync(context, present, cancel))
        {
            forecasts.TryAdd(fill, wear);
        }

        Dictionary<Id<Rig>, Heard> heard = await HeardAsync(context, ids, cancel);
        HashSet<Id<Rig>> watered = await WateredAsync(context, rigs, cancel);
        return rigs.ToDictionary(
            r => r.Id,
            rig =>
                Of(rig, [.. stages[rig.Id]], present, forecasts, heard[rig.Id], watered.Contains(rig.Id), now)
        );
    }

    private static (FleetRig Rig, List<FleetStage> Stages) Of(
        Rig rig,
        List<Stage> stages,
        Dictionary<Id<Stage>, Fill> present,
        Dictionary<Id<Fill>, Forecast> forecasts,
        Heard heard,
        bool hasWater,
        DateTimeOffset now
    )
    {
        Fill? last = Polisher(stages) is { } polisher ? present.GetValueOrDefault(polisher.Id) : null;
        Forecast? bed = last is null ? null : forecasts.GetValueOrDefault(last.Id);
        List<FleetStage> changed =
        [
            .. stages
                .Where(s => IsChanged(s, stages))
                .Select(s => StageOf(rig, s, present, forecasts, bed))
                .OfType<FleetStage>(),
        ];
        var facts = new FleetRig
        {
            RigId = rig.Id,
            OrganisationId = rig.OrganisationId,
            Name = rig.Name,
            Site = rig.Site,
            Van = rig.Van,
            TimeZone = rig.TimeZone,
            Sought = string.Join('\n', rig.Name, rig.Site, rig.Van).ToUpperInvariant(),
            Reasons =
                last is null ? FleetReasons.NoFill
                : bed is not null ? FleetReasons.None
                : hasWater ? FleetReasons.NoForecast
                : FleetReasons.NoWater,
            Urgency = FleetUrgency.Unknown,
            RankAt = DateTimeOffset.UnixEpoch,
            ForecastAt = bed?.At,
            ReadAt = heard.Read?.At,
            ReadWritten = heard.Read is { } read ? $"{read.Written} {read.Unit}" : null,
            HeardAt = heard.At,
        };
        return (FleetRule.Judge(facts, changed, now), changed);
    }

    private static FleetStage? StageOf(
        Rig rig,
        Stage stage,
        Dictionary<Id<Stage>, Fill> present,
        Dictionary<Id<Fill>, Forecast> forecasts,
        Forecast? bed
    )
    {
        Fill? fill = present.GetValueOrDefault(stage.Id);
        bool isBed = IsBed(stage);
        if (
            (
                isBed ? bed
                : fill is null ? null
                : forecasts.GetValueOrDefault(fill.Id)
            )
            is not { } forecast
        )
        {
            return null;
        }

        return new FleetStage
        {
            StageId = stage.Id,
            RigId = rig.Id,
            OrganisationId = rig.OrganisationId,
            Name = stage.Name,
            Kind = stage.Kind,
            Medium = fill?.Medium ?? (isBed ? bed!.Medium : stage.Name),
            Volume_m3 = isBed ? fill?.Volume_m3 ?? stage.Volume_m3 : null,
            ForecastAt = forecast.At,
            DaysQuantiles_d = forecast.Days,
            ServiceUntil = forecast.ServiceUntil,
            PastAt = forecast.PastAt,
            DueAt = Earlier(forecast.PastAt, forecast.ServiceUntil),
            MayBeDueAt = Earlier(
                KeptQuantiles.After(forecast.At, forecast.Days[1]) is { } early && forecast.PastAt < early
                    ? forecast.PastAt
                    : KeptQuantiles.After(forecast.At, forecast.Days[1]),
                forecast.ServiceUntil
            ),
        };
    }

    private static DateTimeOffset? Earlier(DateTimeOffset? one, DateTimeOffset? other) =>
        one is null || other < one ? other : one;

    private static bool IsBed(Stage stage) =>
        stage.Kind is StageKind.MixedBed or StageKind.AnionBed or StageKind.CationBed;

    private static Stage? Polisher(List<Stage> stages) => stages.FindLast(IsBed);

    /// <summary>Whether a stage is changed when it ends: cartridges by themselves, beds behind the last membrane with the last bed.</summary>
    private static bool IsChanged(Stage stage, List<Stage> stages) =>
        stage.Kind is StageKind.CarbonBlock or StageKind.Sediment
        || (
            IsBed(stage)
            && stages.FindLastIndex(s =>
                s.Kind is StageKind.ReverseOsmosis && s.Position < Polisher(stages)!.Position
            ) < stages.IndexOf(stage)
        );

    /// <summary>The newest kept forecast of each last bed's fill, at the line at which that bed is changed.</summary>
    private static async Task<Dictionary<Id<Fill>, Forecast>> BedsAsync(
        LogbookContext context,
        ILookup<Id<Rig>, Stage> stages,
        Dictionary<Id<Stage>, Fill> present,
        CancellationToken cancel
    )
    {
        Dictionary<Id<Fill>, Forecast> found = [];
        var beds = stages
            .Select(of => Polisher([.. of]))
            .OfType<Stage>()
            .Where(s => present.ContainsKey(s.Id))
            .GroupBy(
                s => ForecastLines.Of(s).Text,
                s => (s.RigId, Fill: present[s.Id]),
                StringComparer.Ordinal
            );
        foreach (var ofLine in beds)
        {
            Dictionary<Id<Rig>, Fill> fills = ofLine.ToDictionary(f => f.RigId, f => f.Fill);
            List<Id<Rig>> rigs = [.. fills.Keys];
            List<Id<Fill>> fillIds = [.. fills.Values.Select(f => f.Id)];
            List<Id<KeptForecast>> newest =
            [
                .. (
                    await context
                        .Set<Rig>()
                        .Where(r => rigs.Contains(r.Id))
                        .Select(r =>
                            context
                                .Set<KeptForecast>()
                                .Where(f =>
                                    f.RigId == r.Id
                                    && !f.IsDeleted
                                    && f.Line == ofLine.Key
                                    && fillIds.Contains(f.FillId)
                                )
                                .OrderByDescending(f => f.At)
                                .ThenByDescending(f => f.Id)
                                .Select(f => (Id<KeptForecast>?)f.Id)
                                .FirstOrDefault()
                        )
                        .ToListAsync(cancel)
                )
                    .Where(id => id is not null)
                    .Select(id => id!.Value),
            ];
            List<KeptForecast> kept = await context
                .Live<KeptForecast>()
                .Where(f => newest.Contains(f.Id))
                .ToListAsync(cancel);
            Dictionary<Id<Fill>, DateTimeOffset> since = await PastSinceAsync(
                context,
                kept.Where(IsPast).ToList(),
                ofLine.Key,
                cancel
            );
            foreach (KeptForecast forecast in kept)
            {
                found.Add(
                    forecast.FillId,
                    new Forecast(
                        forecast.At,
                        forecast.DaysQuantiles_d,
                        since.TryGetValue(forecast.FillId, out DateTimeOffset at)
                            ? at
                            : KeptQuantiles.After(
                                forecast.At,
                                KeptQuantiles.At(forecast.DaysQuantiles_d, MoreLikelyThanNot)
                            ),
                        ServiceUntil: null,
                        fills[forecast.RigId].Medium
                    )
                );
            }
        }

        return found;
    }

    private static bool IsPast(KeptForecast forecast) => forecast.PassedNow > MoreLikelyThanNot;

    /// <summary>Since when the kept forecasts of fills have said without a break that the line is passed.</summary>
    private static async Task<Dictionary<Id<Fill>, DateTimeOffset>> PastSinceAsync(
        LogbookContext context,
        List<KeptForecast> past,
        string line,
        CancellationToken cancel
    )
    {
        List<Id<Rig>> rigs = [.. past.Select(f => f.RigId)];
        List<Id<Fill>> fills = [.. past.Select(f => f.FillId)];
        var all =
            rigs.Count == 0
                ? []
                : await context
                    .Live<KeptForecast>()
                    .Where(f => rigs.Contains(f.RigId) && fills.Contains(f.FillId) && f.Line == line)
                    .OrderBy(f => f.At)
                    .ThenBy(f => f.Id)
                    .Select(f => new
                    {
                        f.FillId,
                        f.At,
                        f.PassedNow,
                    })
                    .ToListAsync(cancel);
        return all.GroupBy(f => f.FillId)
            .ToDictionary(
                g => g.Key,
                g => g.Reverse().TakeWhile(f => f.PassedNow > MoreLikelyThanNot).Last().At
            );
    }

    /// <summary>The newest kept forecast of each cartridge that is in.</summary>
    private static async Task<Dictionary<Id<Fill>, Forecast>> WearAsync(
        LogbookContext context,
        Dictionary<Id<Stage>, Fill> present,
        CancellationToken cancel
    )
    {
        Dictionary<Id<Fill>, Fill> fills = present.Values.ToDictionary(f => f.Id);
        List<Id<Fill>> ids = [.. fills.Keys];
        return (await context.Live<KeptWear>().Where(w => ids.Contains(w.FillId)).ToListAsync(cancel))
            .GroupBy(w => w.FillId)
            .ToDictionary(
                g => g.Key,
                g =>
                {
                    KeptWear[] newestFirst = [.. g.OrderByDescending(w => (w.At, w.Id.Value))];
                    KeptWear newest = newestFirst[0];
                    return new Forecast(
                        newest.At,
                        newest.DaysQuantiles_d,
                        KeptQuantiles.After(
                            newestFirst.TakeWhile(IsPast).LastOrDefault(newest).At,
                            KeptQuantiles.At(newest.DaysQuantiles_d, MoreLikelyThanNot)
                        ),
                        newest.ServiceUntil,
                        fills[g.Key].Medium
                    );
                }
            );
    }

    private static bool IsPast(KeptWear wear) =>
        KeptQuantiles.At(wear.DaysQuantiles_d, MoreLikelyThanNot) <= 0;

    private static async Task<Dictionary<Id<Rig>, Heard>> HeardAsync(
        LogbookContext context,
        IReadOnlyCollection<Id<Rig>> ids,
        CancellationToken cancel
    )
    {
        var last = await context
            .Set<Rig>()
            .Where(r => ids.Contains(r.Id))
            .Select(r => new
            {
                r.Id,
                Drawn = context
                    .Set<Draw>()
                    .Where(d => d.RigId == r.Id && !d.IsDeleted)
                    .OrderByDescending(d => d.At)
                    .Select(d => (DateTimeOffset?)d.At)
                    .FirstOrDefault(),
                Read = context
                    .Set<Reading>()
                    .Where(d => d.RigId == r.Id && !d.IsDeleted)
                    .OrderByDescending(d => d.At)
                    .Select(d => (DateTimeOffset?)d.At)
                    .FirstOrDefault(),
                Strength = context
                    .Set<Reading>()
                    .Where(d =>
                        d.RigId == r.Id
                        && !d.IsDeleted
                        && (d.Place == Place.Outlet || d.Place == Place.Nozzle)
                        && Strengths.Contains(d.Measurand)
                    )
                    .OrderByDescending(d => d.At)
                    .ThenByDescending(d => d.Id)
                    .Select(d => (Id<Reading>?)d.Id)
                    .FirstOrDefault(),
            })
            .ToListAsync(cancel);
        List<Id<Reading>> strengths =
        [
            .. last.Where(l => l.Strength is not null).Select(l => l.Strength!.Value),
        ];
        Dictionary<Id<Reading>, Reading> readings = await context
            .Live<Reading>()
            .Where(r => strengths.Contains(r.Id))
            .ToDictionaryAsync(r => r.Id, cancel);
        return last.ToDictionary(
            l => l.Id,
            l => new Heard(
                l.Read > l.Drawn || l.Drawn is null ? l.Read : l.Drawn,
                l.Strength is { } id ? readings[id] : null
            )
        );
    }

    /// <summary>The rigs whose raw water is known: by a season of their source, or by a reading of it.</summary>
    private static async Task<HashSet<Id<Rig>>> WateredAsync(
        LogbookContext context,
        List<Rig> rigs,
        CancellationToken cancel
    )
    {
        List<Id<Source>> sources = [.. rigs.Select(r => r.SourceId).OfType<Id<Source>>().Distinct()];
        HashSet<Id<Source>> stated =
        [
            .. await context
                .Live<Season>()
                .Where(s =>
                    sources.Contains(s.SourceId) && (s.WaterFile != null || s.SpecificConductance_S_m != null)
                )
                .Select(s => s.SourceId)
                .Distinct()
                .ToListAsync(cancel),
        ];
        List<Id<Rig>> others =
        [
            .. rigs.Where(r => r.SourceId is not { } source || !stated.Contains(source)).Select(r => r.Id),
        ];
        List<Id<Rig>> read = await context
            .Set<Rig>()
            .Where(r =>
                others.Contains(r.Id)
                && context
                    .Set<Reading>()
                    .Any(d =>
                        d.RigId == r.Id
                        && !d.IsDeleted
                        && d.Place == Place.Source
                        && !d.IsBelowLimit
                        && Strengths.Contains(d.Measurand)
                    )
            )
            .Select(r => r.Id)
            .ToListAsync(cancel);
        return [.. rigs.Select(r => r.Id).Except(others), .. read];
    }

    private sealed record Heard(DateTimeOffset? At, Reading? Read);

    private sealed record Forecast(
        DateTimeOffset At,
        double?[] Days,
        DateTimeOffset? PastAt,
        DateTimeOffset? ServiceUntil,
        string Medium
    );
}
