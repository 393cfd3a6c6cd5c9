using System.Collections.Concurrent;
using System.Collections.Immutable;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Fleet;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;
using Rig = Rinsewright.Records.Logbook.Rig;

namespace Rinsewright.Web.Estimates;

/// <summary>
/// Says what is left in a rig. It is the one place that the pages ask: it reads the record when it has changed, runs the bed
/// model from new, and takes the forecast as soon as there is one.
/// </summary>
public sealed class RigOutlook(
    LogbookStore store,
    SourceWaters waters,
    FillLives lives,
    RigForecasts forecasts,
    OutlookShelf shelf
)
{
    private const double UsualFlow_L_min = 8;
    private const int WeeksLookedBack = 8;
    private const double DaysPerWeek = 7;
    private const double LitersPerCubicMeter = 1000;
    private const double SoonDays = 14;
    private const double SoonShare = 0.2;

    /// <summary>What the answers rest on: it changes with every edit, every day and every forecast that is ready.</summary>
    public async Task<string> TagAsync(CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        RecordState state = await StateAsync(context, cancel);
        return FormattableString.Invariant(
            $"{state.Edit}-{state.Day:yyyyMMdd}-{forecasts.Version}-{store.Scope}"
        );
    }

    /// <summary>The outlook of one rig, or nothing when there is no such rig.</summary>
    public async Task<Outlook?> OfAsync(Id<Rig> rig, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await OfAsync(context, await StateAsync(context, cancel), rig, cancel);
    }

    /// <summary>The outlook of one rig as soon as its forecast rests on all that is written.</summary>
    public async Task<Outlook?> SettledAsync(Id<Rig> rig, CancellationToken cancel)
    {
        while (true)
        {
            Task next = forecasts.NextAsync(cancel);
            Outlook? outlook = await OfAsync(rig, cancel);
            if (outlook is not { IsSharpening: true })
            {
                return outlook;
            }

            await next;
        }
    }

    /// <summary>Rigs whose outlooks a page shows together; whoever has more is better served by the fleet board (our choice).</summary>
    public const int MostOnAPage = 12;

    /// <summary>The outlooks of all rigs, the most urgent first.</summary>
    public async Task<IReadOnlyList<Outlook>> AllAsync(CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await OfAsync(
            context,
            await context.Live<Rig>().Select(r => r.Id).ToListAsync(cancel),
            cancel
        );
    }

    /// <summary>
    /// The outlooks of as many rigs as a page shows, the most urgent first: of all, or of those that come first on the board, which is asked
    /// only where there are more. And how many rigs there are.
    /// </summary>
    public async Task<(IReadOnlyList<Outlook> Shown, int Of)> MostUrgentAsync(CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        List<Id<Rig>> rigs = await context
            .Live<Rig>()
            .Select(r => r.Id)
            .Take(MostOnAPage + 1)
            .ToListAsync(cancel);
        if (rigs.Count <= MostOnAPage)
        {
            return (await OfAsync(context, rigs, cancel), rigs.Count);
        }

        FleetPart board = await FleetList.PageAsync(
            context,
            new FleetQuery(),
            skip: 0,
            MostOnAPage,
            store.Clock.GetUtcNow(),
            cancel
        );
        return (
            await OfAsync(context, [.. board.Rows.Select(r => r.Rig.RigId)], cancel),
            await context.Live<Rig>().CountAsync(cancel)
        );
    }

    private async Task<IReadOnlyList<Outlook>> OfAsync(
        LogbookContext context,
        IReadOnlyList<Id<Rig>> rigs,
        CancellationToken cancel
    )
    {
        RecordState state = await StateAsync(context, cancel);
        List<Outlook> found = [];
        foreach (Id<Rig> rig in rigs)
        {
            if (await OfAsync(context, state, rig, cancel) is { } outlook)
            {
                found.Add(outlook);
            }
        }

        return [.. found.OrderByDescending(o => o.Urgency).ThenBy(o => o.Days?.Middle ?? double.MaxValue)];
    }

    private async Task<RecordState> StateAsync(LogbookContext context, CancellationToken cancel) =>
        new(
            // What the program writes of itself, kept forecasts, changes no answer.
            await context
                .Edits.IgnoreQueryFilters()
                .Where(e => e.Author != Edit.OfItself)
                .OrderByDescending(e => e.Number)
                .Select(e => e.Number)
                .FirstOrDefaultAsync(cancel),
            DateOnly.FromDateTime(store.Clock.GetUtcNow().UtcDateTime)
        );

    private async Task<Outlook?> OfAsync(
        LogbookContext context,
        RecordState state,
        Id<Rig> rig,
        CancellationToken cancel
    )
    {
        if (store.Scope is not null && !await context.Live<Rig>().AnyAsync(r => r.Id == rig, cancel))
        {
            // Somebody else's: that it is kept here must not show it.
            return null;
        }

        if (
            shelf.Kept.TryGetValue(rig, out (RecordState State, Outlook Outlook) known)
            && known.State == state
        )
        {
            return Sharpened(known.Outlook);
        }

        DateTimeOffset now = store.Clock.GetUtcNow();
        if (await RigHistory.LoadAsync(context, rig, now, cancel) is not { } history)
        {
            shelf.Kept.TryRemove(rig, out _);
            return null;
        }

        Outlook plain = Plain(history, now);
        shelf.Keep(rig, state, plain);
        return Sharpened(plain);
    }

    /// <summary>The outlook with the figures of the forecast, where there is one.</summary>
    private Outlook Sharpened(Outlook plain)
    {
        (FillOutlook? forecast, bool isSharpening) = forecasts.Of(plain);
        if (forecast is null)
        {
            return plain with { IsSharpening = isSharpening };
        }

        Interval left = Interval.Of(forecast.Line.Liters);
        Interval? days =
            plain.Weekly_L is null && forecast.Weekly_L <= 1
                ? null
                : Interval.Of(forecast.Line.Weeks).Select(w => DaysPerWeek * w);
        return plain with
        {
            Forecast = forecast,
            IsSharpening = isSharpening,
            Left_L = left,
            Days = days,
            Urgency =
                forecast.Line.PassedNow > 0.5 || IsAtLine(plain) ? Urgency.Due
                : days is { Low: < SoonDays } || left.Middle < SoonShare * (left.Middle + forecast.Logged_L)
                    ? Urgency.Soon
                : Urgency.Good,
            Reasons =
            [
                Sentence.Of(
                    $"The forecast rests on {forecast.Readings} readings of this fill, the water drawn, and the bed model."
                ),
                .. plain.Reasons,
            ],
        };
    }

    internal Outlook Plain(RigHistory history, DateTimeOffset now)
    {
        var outlook = new Outlook { History = history, Now = now };
        if (
            history.Polisher is not { } bed
            || outlook.Fill is not { } fill
            || BedLine.Of(history, bed, fill.Fill) is not { } line
        )
        {
            return outlook with
            {
                Sharpen = [Sentence.Of("Say which bed the rig has and when it was filled.")],
            };
        }

        SourceAt source = history.SourceAt(now);
        if (source.BestWaterFile is not { } file)
        {
            return outlook with { Sharpen = [Sentence.Of("Log one reading of the raw water.")] };
        }

        LifeQuestion question = QuestionOf(outlook, line, file);
        Completed water = waters.Of(file);
        FillLife? life = lives.Of(question);
        Interval? left = life?.Liters.Select(l => Math.Max(0, l - outlook.Drawn_L));
        Interval? weekly = Weekly(bed, now);
        Interval? days =
            left is { } l && weekly is { Middle: > 0 } w
                ? new Interval(
                    l.Low / w.High * DaysPerWeek,
                    l.Middle / w.Middle * DaysPerWeek,
                    w.Low > 0 ? l.High / w.Low * DaysPerWeek : double.PositiveInfinity
                )
                : null;
        outlook = outlook with
        {
            Question = question,
            Life = life,
            Water = water,
            Left_L = left,
            Weekly_L = weekly,
            Days = days,
        };
        return outlook with
        {
            Urgency = UrgencyOf(outlook),
            Reasons =
            [
                WaterReason(source),
                Sentence.Of(
                    $"The fill is from {outlook.Local(fill.Fill.PutInAt)}; {Volume.FromLiters(outlook.Drawn_L)} have passed it since."
                ),
                .. weekly is { } week
                    ? [Sentence.Of($"You draw about {Volume.FromLiters(week.Middle)} a week through it.")]
                    : ImmutableArray<Sentence>.Empty,
            ],
            Sharpen = [.. Missing(outlook)],
        };
    }

    private static Sentence WaterReason(SourceAt source) =>
        source switch
        {
            { WaterFile: not null, Season: { } season } => Sentence.Of(
                $"The water is as you stated it for {season.Name}."
            ),
            { Read_uS_cm: { } read } => Sentence.Of(
                $"The raw water reads {Strength(read.Mean)} (median of {source.Readings})."
            ),
            _ => Sentence.Of(
                $"The raw water is taken as {Strength(source.Stated_uS_cm ?? 0)}, as stated for {source.Season?.Name ?? ""}."
            ),
        };

    private static SpecificConductance Strength(double conductance_uS_cm) =>
        SpecificConductance.FromMicrosiemensPerCentimeter(conductance_uS_cm);

    private static IEnumerable<Sentence> Missing(Outlook outlook)
    {
        if (outlook.Weekly_L is null)
        {
            yield return Sentence.Of("Log what you draw, or the water meter, so that a date can be given.");
        }

        if (outlook.Water is { IsStrengthOnly: true })
        {
            yield return Sentence.Of(
                "A hardness test or the utility's report narrows the range most: a meter alone does not say what is in the water."
            );
        }

        if (outlook.LastOutlet is null)
        {
            yield return Sentence.Of("A reading behind the bed shows whether it still holds.");
        }
    }

    private static LifeQuestion QuestionOf(Outlook outlook, BedLine line, string waterFile)
    {
        return new LifeQuestion
        {
            WaterFile = waterFile,
            Beds =
            [
                .. line.Stages.Zip(
                    line.Beds,
                    (s, b) => new BedDesign(s.Stage.Kind, b.Volume.Liters, s.Stage.Name)
                ),
            ],
            Flow_L_min = outlook.Fill!.UsualFlow?.LitersPerMinute ?? UsualFlow_L_min,
            Line = ForecastLines.Of(line.Stages[^1].Stage),
            MeterFactor = outlook.MeterFactor,
            BehindOsmosis = line.Membrane is not null,
        };
    }

    /// <summary>Water through the bed in a week: the mean of the last whole weeks and how far it is known.</summary>
    private static Interval? Weekly(StageHistory bed, DateTimeOffset now)
    {
        Draw[] lately =
        [
            .. bed
                .Fills.SelectMany(f => f.Draws)
                .Where(d => d.At <= now && d.At > now.AddDays(-DaysPerWeek * WeeksLookedBack)),
        ];
        if (lately.Length == 0)
        {
            return null;
        }

        int known = Math.Clamp(
            (int)((now - lately.Min(d => d.At)).TotalDays / DaysPerWeek),
            1,
            WeeksLookedBack
        );
        double[] weeks =
        [
            .. Enumerable
                .Range(0, known)
                .Select(w =>
                    LitersPerCubicMeter
                    * lately
                        .Where(d =>
                            d.At > now.AddDays(-DaysPerWeek * (w + 1))
                            && d.At <= now.AddDays(-DaysPerWeek * w)
                        )
                        .Sum(d => d.Volume_m3)
                ),
        ];
        double mean = weeks.Average();
        if (!(mean > 0))
        {
            return null;
        }

        double spread = Math.Sqrt(weeks.Sum(w => (w - mean) * (w - mean)) / Math.Max(1, weeks.Length - 1));
        double error = 1.645 * spread / Math.Sqrt(weeks.Length);
        return new Interval(Math.Max(0.1 * mean, mean - error), mean, mean + error);
    }

    private static bool IsAtLine(Outlook outlook) =>
        outlook is { LastOutlet.Corrected: { } last, Question: { } question }
        && question.Line.Kind switch
        {
            LineKind.Conductivity => last.Conductance_uS_cm.Mean >= question.Line.Value,
            LineKind.MeterReading => question.MeterFactor * last.Conductance_uS_cm.Mean
                >= question.Line.Value,
            _ => false,
        };

    private static Urgency UrgencyOf(Outlook outlook) =>
        IsAtLine(outlook) || outlook.Left_L is { Middle: <= 0 } ? Urgency.Due
        : outlook is not { Life: { } life, Left_L: { } left } ? Urgency.Unknown
        : outlook.Days is { Low: < SoonDays } || left.Middle < SoonShare * life.Liters.Middle ? Urgency.Soon
        : Urgency.Good;
}

/// <summary>What an outlook rests on.</summary>
internal sealed record RecordState(long Edit, DateOnly Day);

/// <summary>Outlooks that were worked out, until the record changes.</summary>
public sealed class OutlookShelf
{
    private const int MostKept = 500; // each holds the whole history of its rig

    internal ConcurrentDictionary<Id<Rig>, (RecordState State, Outlook Outlook)> Kept { get; } = new();

    internal void Keep(Id<Rig> rig, RecordState state, Outlook outlook)
    {
        if (Kept.Count >= MostKept && !Kept.ContainsKey(rig))
        {
            Kept.Clear();
        }

        Kept[rig] = (state, outlook);
    }
}
