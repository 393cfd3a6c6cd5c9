using System.Globalization;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Records.Trust;
using Rinsewright.Web.Estimates;

namespace Rinsewright.Web.Logging;

/// <summary>The logbook as it is read: the days of a rig, newest first.</summary>
public sealed class LogbookPages(LogbookStore store, RigOutlook outlooks, Speech speech)
{
    public const int UsualDays = 30;
    private const int MostLines = 600;
    private const int MostEdits = 20;

    /// <summary>The kinds that can be picked out, with their words.</summary>
    public static IReadOnlyList<(string Value, string Name)> Kinds { get; } =
    [
        ("reading", Texts.Key("readings")),
        ("draw", Texts.Key("water drawn")),
        ("fill", Texts.Key("fills")),
        ("note", Texts.Key("notes")),
        ("check", Texts.Key("meter checks")),
    ];

    /// <summary>The newest edits, by universal time.</summary>
    public async Task<IReadOnlyList<EditLine>> EditsAsync(CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await EditsAsync(context, TimeZoneInfo.Utc, cancel);
    }

    /// <summary>The view of a rig, or of the first one when none is asked for; nothing when there is none.</summary>
    public async Task<LogbookView?> ViewAsync(Guid? rigId, string? kind, int days, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        RecordNames names = await RecordNames.LoadAsync(context, cancel);
        List<Rig> rigs = [.. names.Rigs.OrderBy(r => r.Name, StringComparer.Ordinal)];
        Rig? rig = rigId is null ? rigs.FirstOrDefault() : rigs.Find(r => r.Id.Value == rigId);
        if (rig is null)
        {
            return null;
        }

        Outlook outlook = (await outlooks.OfAsync(rig.Id, cancel))!;
        TimeZoneInfo zone = outlook.History.Zone;
        List<Stage> stages = [.. outlook.History.Stages.Select(s => s.Stage)];
        DateTimeOffset since = store.Clock.GetUtcNow().AddDays(-Math.Clamp(days, 1, 36500));
        List<(DateTimeOffset At, LogbookLine Line)> lines = await LinesAsync(
            context,
            outlook,
            stages,
            names,
            kind,
            since,
            cancel
        );
        DateTime Local(DateTimeOffset at) => TimeZoneInfo.ConvertTime(at, zone).DateTime;
        HashSet<long> alone = await LogbookStore.OfOneEntryAsync(
            context,
            [.. lines.Select(l => l.Line.Edit).Distinct()],
            cancel
        );
        List<LogbookDay> byDay =
        [
            .. lines
                .OrderByDescending(l => l.At)
                .Take(MostLines)
                .GroupBy(l => DateOnly.FromDateTime(Local(l.At)))
                .Select(g => new LogbookDay(
                    g.Key,
                    [
                        .. g.Select(l =>
                            l.Line with
                            {
                                Time = Local(l.At).ToString("HH:mm", CultureInfo.InvariantCulture),
                                IsAlone = alone.Contains(l.Line.Edit),
                            }
                        ),
                    ]
                )),
        ];
        double[] shown =
        [
            .. outlook.Bed is { } bed
                ? outlook
                    .History.StrengthAt(Place.Outlet, bed.Stage.Id)
                    .Where(r => r.Reading.At >= since)
                    .Select(r => r.Corrected!.Conductance_uS_cm.Mean)
                : [],
        ];
        return new LogbookView(
            rigs,
            rig,
            stages,
            names.Meters,
            byDay,
            await EditsAsync(context, zone, cancel),
            outlook,
            await ForecastScores.OfAsync(context, outlook.History, cancel),
            shown.Length == 1
                    ? speech[
                        "One reading behind the bed: {0} ppm.",
                        Speech.Ppm(shown[0], outlook.MeterFactor)
                    ]
                : shown.Length > 0
                    ? speech[
                        "{0} readings behind the bed, the last {1} ppm; least {2}, most {3} ppm.",
                        shown.Length,
                        Speech.Ppm(shown[^1], outlook.MeterFactor),
                        Speech.Ppm(shown.Min(), outlook.MeterFactor),
                        Speech.Ppm(shown.Max(), outlook.MeterFactor)
                    ]
                : ""
        );
    }

    private async Task<List<(DateTimeOffset At, LogbookLine Line)>> LinesAsync(
        LogbookContext context,
        Outlook outlook,
        List<Stage> stages,
        RecordNames names,
        string? kind,
        DateTimeOffset since,
        CancellationToken cancel
    )
    {
        bool Wanted(string name) =>
            string.IsNullOrEmpty(kind) || string.Equals(kind, name, StringComparison.Ordinal);
        Rig rig = outlook.History.Rig;
        string StageName(Id<Stage>? id) => stages.Find(s => s.Id == id)?.Name ?? rig.Name;
        List<Id<Stage>> ids = [.. stages.Select(s => s.Id)];
        List<(DateTimeOffset, LogbookLine)> lines = [];
        if (Wanted("reading"))
        {
            lines.AddRange(
                outlook
                    .History.Readings.Where(r => r.Reading.At >= since)
                    .TakeLast(MostLines)
                    .Select(r =>
                        (
                            r.Reading.At,
                            new LogbookLine(
                                r.Reading.Place is Place.Source
                                    ? speech["raw water, {0}", Word(r.Reading.Measurand)]
                                    : speech[
                                        "{0}, {1}",
                                        StageName(r.Reading.StageId),
                                        Word(r.Reading.Measurand)
                                    ],
                                $"{r.Reading.Written} {r.Reading.Unit}",
                                r.Reading.EditNumber
                            )
                            {
                                Corrected = r.Corrected is { } corrected
                                    ? speech[
                                        "true: {0}",
                                        speech.Ppm(corrected.Conductance_uS_cm, outlook.MeterFactor)
                                    ]
                                    : "",
                                Doubts = r.Remarks,
                            }
                        )
                    )
            );
        }

        if (Wanted("draw"))
        {
            Dictionary<Id<WashTask>, string> tasks = names.Tasks.ToDictionary(t => t.Id, t => t.Name);
            lines.AddRange(
                (
                    await context
                        .Live<Draw>()
                        .Where(d => d.RigId == rig.Id && d.At >= since)
                        .OrderByDescending(d => d.At)
                        .Take(MostLines)
                        .ToListAsync(cancel)
                ).Select(d =>
                    (
                        d.At,
                        new LogbookLine(
                            d.WashTaskId is { } task && tasks.TryGetValue(task, out string? name)
                                ? speech["water drawn, {0}", name]
                                : speech["water drawn"],
                            (d.Basis is VolumeBasis.Estimated ? "≈ " : "") + speech.Written(d.Volume_m3),
                            d.EditNumber
                        )
                    )
                )
            );
        }

        if (Wanted("fill"))
        {
            lines.AddRange(
                (
                    await context
                        .Live<Fill>()
                        .Where(f => ids.Contains(f.StageId) && f.PutInAt >= since)
                        .ToListAsync(cancel)
                ).Select(f =>
                    (
                        f.PutInAt,
                        new LogbookLine(
                            speech["new fill in {0}", StageName(f.StageId)],
                            f.Volume_m3 is { } volume ? $"{speech.Written(volume)} {f.Medium}" : f.Medium,
                            f.EditNumber
                        )
                    )
                )
            );
        }

        if (Wanted("note"))
        {
            lines.AddRange(
                (
                    await context
                        .Live<Note>()
                        .Where(n => n.RigId == rig.Id && n.At >= since)
                        .ToListAsync(cancel)
                ).Select(n => (n.At, new LogbookLine(speech["note"], n.Text, n.EditNumber)))
            );
        }

        if (Wanted("check"))
        {
            Dictionary<Id<Meter>, string> meters = names.Meters.ToDictionary(m => m.Id, m => m.Name);
            lines.AddRange(
                (await context.Live<BenchCheck>().Where(c => c.At >= since).ToListAsync(cancel)).Select(c =>
                    (
                        c.At,
                        new LogbookLine(
                            speech["{0} in {1}", meters.GetValueOrDefault(c.MeterId, ""), c.Solution],
                            $"{c.ShownWritten} {c.Unit}",
                            c.EditNumber
                        )
                    )
                )
            );
        }

        return lines;
    }

    private async Task<List<EditLine>> EditsAsync(
        LogbookContext context,
        TimeZoneInfo zone,
        CancellationToken cancel
    )
    {
        List<Edit> edits = await context
            .Edits.AsNoTracking()
            .Where(e => e.Author != Edit.OfItself)
            .OrderByDescending(e => e.Number)
            .Take(MostEdits)
            .ToListAsync(cancel);
        ILookup<long, long> undoers = (
            await context.Edits.AsNoTracking().Where(e => e.Undoes != null).ToListAsync(cancel)
        ).ToLookup(e => e.Undoes!.Value, e => e.Number);
        bool IsUndone(long number) => undoers[number].Any(u => !IsUndone(u));
        return edits.ConvertAll(e => new EditLine(
            e.Number,
            Moment(TimeZoneInfo.ConvertTime(e.At, zone).DateTime),
            e.Author,
            e.Undoes is { } undone && e.Reason.Length == 0
                ? string.Create(CultureInfo.InvariantCulture, $"↶ {undone}")
                : e.Reason,
            IsUndone(e.Number)
        ));
    }

    private string Moment(DateTime at) =>
        $"{speech.DayOfYear(DateOnly.FromDateTime(at))} {at.ToString("HH:mm", CultureInfo.InvariantCulture)}";

    private string Word(Measurand measurand) =>
        measurand is Measurand.Ph
            ? speech["pH"]
            : speech[MeasurandText.Names.First(n => n.Measurand == measurand).Name];
}

/// <summary>What the logbook page shows.</summary>
public sealed record LogbookView(
    IReadOnlyList<Rig> Rigs,
    Rig Rig,
    IReadOnlyList<Stage> Stages,
    IReadOnlyList<Meter> Meters,
    IReadOnlyList<LogbookDay> Days,
    IReadOnlyList<EditLine> Edits,
    Outlook Outlook,
    ForecastScores Scores,
    string ReadingsInWords
);

/// <summary>One day of it.</summary>
public sealed record LogbookDay(DateOnly Day, IReadOnlyList<LogbookLine> Lines);

/// <summary>One entry in words.</summary>
public sealed record LogbookLine(string What, string Value, long Edit)
{
    public string Time { get; init; } = "";

    /// <summary>What a reading stands for, once the meter's error is taken out; else nothing.</summary>
    public string Corrected { get; init; } = "";

    /// <summary>What may be wrong with a reading.</summary>
    public IReadOnlyList<ReadingRemark> Doubts { get; init; } = [];

    /// <summary>Whether its edit wrote nothing else, shown or not, so that taking it back takes back this alone.</summary>
    public bool IsAlone { get; init; }
}

/// <summary>One edit in words.</summary>
public sealed record EditLine(long Number, string At, string Author, string Reason, bool IsUndone);
