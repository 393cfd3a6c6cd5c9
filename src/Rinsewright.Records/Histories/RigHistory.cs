using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Records.Trust;
using Rinsewright.Water;
using Habit = Rinsewright.Records.Logbook.Habit;
using Meter = Rinsewright.Records.Logbook.Meter;
using Rig = Rinsewright.Records.Logbook.Rig;
using Stage = Rinsewright.Records.Logbook.Stage;

namespace Rinsewright.Records.Histories;

/// <summary>
/// Everything that the record says of one rig, in the order of time and with its readings corrected and judged: what pages,
/// forecasts and reports ask. Immutable; a snapshot of the moment it was loaded.
/// </summary>
public sealed record RigHistory
{
    private const double SourceReach_days = 60;
    private const double MicrosiemensPerSiemens = 1e4; // µS/cm per S/m

    public required Rig Rig { get; init; }

    public Source? Source { get; init; }

    /// <summary>The seasons of its source.</summary>
    public required IReadOnlyList<Season> Seasons { get; init; }

    /// <summary>Its stages in the order in which the water meets them.</summary>
    public required IReadOnlyList<StageHistory> Stages { get; init; }

    /// <summary>The rig as its file describes it; nothing when none is stored.</summary>
    public Treatment.Rig? Design { get; init; }

    /// <summary>All water drawn from it, oldest first.</summary>
    public required IReadOnlyList<Draw> Draws { get; init; }

    /// <summary>All its readings, oldest first.</summary>
    public required IReadOnlyList<TrustedReading> Readings { get; init; }

    /// <summary>What its water meter counted between readings, beside what was logged.</summary>
    public required IReadOnlyList<MeteredPeriod> Metered { get; init; }

    /// <summary>The meters of its readings.</summary>
    public required IReadOnlyDictionary<Id<Meter>, MeterTrust> Meters { get; init; }

    /// <summary>Its usual week.</summary>
    public required IReadOnlyList<(Habit Habit, WashTask Task)> Habits { get; init; }

    /// <summary>The last bed that takes ions out: its life is what the rig's life means.</summary>
    public StageHistory? Polisher =>
        Stages.LastOrDefault(s =>
            s.Stage.Kind is StageKind.MixedBed or StageKind.AnionBed or StageKind.CationBed
        );

    /// <summary>Time zone in which its days are counted.</summary>
    public TimeZoneInfo Zone =>
        TimeZoneInfo.TryFindSystemTimeZoneById(Rig.TimeZone, out TimeZoneInfo? zone)
            ? zone
            : TimeZoneInfo.Utc;

    /// <summary>
    /// Tells whether anything was written of the rig or its meters that bears on what was known at an instant: the same number as
    /// long as only draws and readings of later came.
    /// </summary>
    /// <param name="until">The instant; empty for everything.</param>
    public int StateUntil(DateTimeOffset? until = null)
    {
        DateTimeOffset end = until ?? DateTimeOffset.MaxValue;
        IEnumerable<Entry> entries =
        [
            Rig,
            .. Seasons.OrderBy(s => s.Id.Value),
            .. Stages.Select(s => s.Stage),
            .. Stages.SelectMany(s => s.Fills).Select(f => f.Fill),
            .. Habits.SelectMany(h => (Entry[])[h.Habit, h.Task]),
            .. Draws.Where(d => d.At <= end),
            .. Readings.Select(r => r.Reading).Where(r => r.At <= end),
            .. Meters.OrderBy(m => m.Key.Value).SelectMany(m => m.Value.Checks).Select(c => c.Check),
        ];
        var hash = new HashCode();
        foreach (Entry entry in entries)
        {
            hash.Add(entry.EditNumber);
        }

        return hash.ToHashCode();
    }

    /// <summary>Reads the record.</summary>
    /// <param name="context">The record.</param>
    /// <param name="id">The rig.</param>
    /// <param name="until">Nothing after this instant is read; empty for all.</param>
    /// <param name="cancel">Stops the reading.</param>
    /// <returns>The history, or nothing when there is no such rig.</returns>
    public static async Task<RigHistory?> LoadAsync(
        LogbookContext context,
        Id<Rig> id,
        DateTimeOffset? until = null,
        CancellationToken cancel = default
    )
    {
        if (await context.Live<Rig>().FirstOrDefaultAsync(r => r.Id == id, cancel) is not { } rig)
        {
            return null;
        }

        DateTimeOffset end = Instant.Round(until ?? DateTimeOffset.MaxValue.AddDays(-1));
        List<Stage> stages = await context
            .Live<Stage>()
            .Where(s => s.RigId == id)
            .OrderBy(s => s.Position)
            .ToListAsync(cancel);
        List<Id<Stage>> ids = [.. stages.Select(s => s.Id)];
        List<Fill> fills =
        [
            .. (
                await context
                    .Live<Fill>()
                    .Where(f => ids.Contains(f.StageId) && f.PutInAt <= end)
                    .OrderBy(f => f.PutInAt)
                    .ToListAsync(cancel)
            ).Select(f => f.TakenOutAt > end ? f with { TakenOutAt = null } : f),
        ];
        List<Draw> draws = await context
            .Live<Draw>()
            .Where(d => d.RigId == id && d.At <= end)
            .OrderBy(d => d.At)
            .ToListAsync(cancel);
        List<Reading> readings = await context
            .Live<Reading>()
            .Where(r => r.RigId == id && r.At <= end)
            .OrderBy(r => r.At)
            .ThenBy(r => r.Id)
            .ToListAsync(cancel);
        List<Habit> habits = await context.Live<Habit>().Where(h => h.RigId == id).ToListAsync(cancel);
        Dictionary<Id<WashTask>, WashTask> tasks = await context
            .Set<WashTask>()
            .AsNoTracking()
            .ToDictionaryAsync(t => t.Id, cancel);
        List<Season> seasons = rig.SourceId is null
            ? []
            : await context.Live<Season>().Where(s => s.SourceId == rig.SourceId).ToListAsync(cancel);
        IReadOnlyDictionary<Id<Meter>, MeterTrust> meters = await MeterTrust.OfAsync(
            context,
            [.. readings.Select(r => r.MeterId).OfType<Id<Meter>>().Distinct()],
            end,
            cancel
        );
        Treatment.Rig? design = rig.RigFile is { } file ? Rig.ReadFile(file, out _) : null;
        var history = new RigHistory
        {
            Rig = rig,
            Source = rig.SourceId is { } source
                ? await context.Live<Source>().FirstOrDefaultAsync(s => s.Id == source, cancel)
                : null,
            Seasons = seasons,
            Stages =
            [
                .. stages.Select(stage => new StageHistory(
                    stage,
                    [
                        .. fills
                            .Where(f => f.StageId == stage.Id)
                            .Select(f => new FillHistory(f, [.. Through(draws, stages, stage, f)])),
                    ],
                    design?.Stages.FirstOrDefault(s =>
                        string.Equals(s.Name, stage.Name, StringComparison.OrdinalIgnoreCase)
                    )
                )),
            ],
            Design = design,
            Draws = draws,
            Readings = [],
            Metered = MeteredPeriod.Of(readings, draws),
            Meters = meters,
            Habits = [.. habits.Select(h => (h, tasks[h.WashTaskId]))],
        };
        return history with
        {
            Readings = ReadingRules.Judge(
                readings,
                meters,
                new RuleContext(stages, fills, at => history.SeasonAt(at)?.WaterFile)
            ),
        };
    }

    /// <summary>Readings of conductance and dissolved solids at one place, oldest first.</summary>
    public IEnumerable<TrustedReading> StrengthAt(Place place, Id<Stage>? stage = null) =>
        Readings.Where(r =>
            r.Corrected is not null && r.Reading.Place == place && r.Reading.StageId == stage
        );

    /// <summary>The season that held at an instant: the one that had begun last.</summary>
    public Season? SeasonAt(DateTimeOffset instant)
    {
        DateTime day = TimeZoneInfo.ConvertTime(instant, Zone).DateTime;
        return Seasons.MinBy(s =>
            ((100 * day.Month) + day.Day - (100 * s.StartMonth) - s.StartDay + 1300) % 1300
        );
    }

    /// <summary>What is known of the raw water at an instant.</summary>
    public SourceAt SourceAt(DateTimeOffset instant)
    {
        Season? season = SeasonAt(instant);
        TrustedReading[] read = [.. StrengthAt(Place.Source).Where(r => !r.Reading.IsBelowLimit)];
        List<NormalEstimate> near =
        [
            .. read.Where(r =>
                    Math.Abs((r.Reading.At - instant).TotalDays) <= SourceReach_days
                    && (season is null || SeasonAt(r.Reading.At)?.Id == season.Id)
                )
                .Select(r => r.Corrected!.Conductance_uS_cm)
                .OrderBy(c => c.Mean),
        ];
        TrustedReading? old =
            near.Count == 0 && season is null ? read.MinBy(r => (r.Reading.At - instant).Duration()) : null;
        return new SourceAt(
            season,
            season?.WaterFile,
            season?.SpecificConductance_S_m * MicrosiemensPerSiemens,
            near.Count > 0 ? near[near.Count / 2] : old?.Corrected!.Conductance_uS_cm,
            near.Count + (old is null ? 0 : 1)
        )
        {
            OldReadAt = old?.Reading.At,
        };
    }

    /// <summary>The draws that passed a fill: taken while it was in, behind its stage.</summary>
    private static IEnumerable<Draw> Through(List<Draw> draws, List<Stage> stages, Stage stage, Fill fill)
    {
        HashSet<Id<Stage>> behind = [.. stages.Where(s => s.Position >= stage.Position).Select(s => s.Id)];
        return draws.Where(d =>
            d.At >= fill.PutInAt
            && (fill.TakenOutAt is null || d.At < fill.TakenOutAt)
            && (d.StageId is null || behind.Contains(d.StageId.Value))
        );
    }
}
