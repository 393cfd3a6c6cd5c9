using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Records.Trust;
using Rinsewright.Treatment;
using Rig = Rinsewright.Records.Logbook.Rig;

namespace Rinsewright.Handouts.Report;

/// <summary>What a forecast said at a moment of the past, and what came of it.</summary>
/// <param name="At">The moment.</param>
/// <param name="Stage">The bed.</param>
/// <param name="Left_L">What it said was left [L].</param>
/// <param name="Drawn_L">Water drawn from then until the line was seen passed, the fill was taken out, or now [L].</param>
/// <param name="IsPassed">Whether the outlet was seen past the line; else the truth is that much or more.</param>
/// <param name="IsKept">Whether it was kept at that moment; else it is made again from what had been written by then.</param>
public sealed record ForecastThen(
    DateTimeOffset At,
    string Stage,
    Band Left_L,
    double Drawn_L,
    bool IsPassed,
    bool IsKept
)
{
    /// <summary>Whether the truth lies in the range of nine in ten; nothing when it is only known to be more than a part of it.</summary>
    public bool? Held =>
        IsPassed ? Drawn_L >= Left_L.P05 && Drawn_L <= Left_L.P95
        : Drawn_L > Left_L.P95 ? false
        : null;
}

/// <summary>Something that was changed, by whom and why.</summary>
public sealed record Change(DateTimeOffset At, string What, string By, string Why);

/// <summary>Money of one kind.</summary>
public sealed record Cost(string What, decimal Amount, string Currency);

/// <summary>The record of a rig over a period.</summary>
public sealed record RigReport
{
    private const int MostForecasts = 3;
    private const int Members = 300;
    private const int Seed = 1;
    private const double LitersPerCubicMeter = 1000;

    /// <summary>The record as it stands at the end of the period.</summary>
    public required RigHistory History { get; init; }

    /// <summary>First moment of the period.</summary>
    public required DateTimeOffset From { get; init; }

    /// <summary>First moment after it.</summary>
    public required DateTimeOffset To { get; init; }

    /// <summary>The forecast at the end of the period; nothing when too little is known.</summary>
    public required RigForecast? Now { get; init; }

    /// <summary>Forecasts of the past beside the truth.</summary>
    public required IReadOnlyList<ForecastThen> Then { get; init; }

    /// <summary>What was changed.</summary>
    public required IReadOnlyList<Change> Changes { get; init; }

    /// <summary>What it cost.</summary>
    public required IReadOnlyList<Cost> Costs { get; init; }

    /// <summary>Draws of the period.</summary>
    public IReadOnlyList<Draw> Draws => [.. History.Draws.Where(d => IsIn(d.At))];

    /// <summary>Water drawn [L].</summary>
    public double Drawn_L => LitersPerCubicMeter * Draws.Sum(d => d.Volume_m3);

    /// <summary>Washes that were written down.</summary>
    public int Washes => Draws.Sum(d => d.Washes ?? 0);

    /// <summary>Strength readings of the period.</summary>
    public IReadOnlyList<TrustedReading> Readings =>
        [.. History.Readings.Where(r => r.Corrected is not null && IsIn(r.Reading.At))];

    /// <summary>Fills that were in some time of the period.</summary>
    public IReadOnlyList<(StageHistory Stage, FillHistory Fill)> Fills =>
        [
            .. History.Stages.SelectMany(s =>
                s.Fills.Where(f =>
                        f.Fill.PutInAt < To && (f.Fill.TakenOutAt is null || f.Fill.TakenOutAt >= From)
                    )
                    .Select(f => (s, f))
            ),
        ];

    /// <summary>The line of the last bed; nothing without one.</summary>
    public ChangeOutLine? Line => History.Polisher is { } last ? ForecastLines.Of(last.Stage) : null;

    /// <summary>The same as true conductance, where a meter can see it [µS/cm].</summary>
    public double? Line_uS_cm =>
        Line switch
        {
            { Kind: LineKind.Conductivity } line => line.Value,
            { Kind: LineKind.MeterReading } line => line.Value / RigBed.MeterFactorOf(History),
            _ => null,
        };

    /// <summary>Makes the report.</summary>
    /// <param name="context">The record.</param>
    /// <param name="rig">The rig.</param>
    /// <param name="from">First moment.</param>
    /// <param name="to">First moment after it.</param>
    /// <param name="libraries">Where libraries of lives are kept.</param>
    /// <param name="progress">Told the fraction done [-].</param>
    /// <param name="cancel">Stops it.</param>
    public static async Task<RigReport?> OfAsync(
        LogbookContext context,
        Id<Rig> rig,
        DateTimeOffset from,
        DateTimeOffset to,
        LifeLibraries libraries,
        IProgress<double>? progress = null,
        CancellationToken cancel = default
    )
    {
        if (await RigHistory.LoadAsync(context, rig, to, cancel) is not { } history)
        {
            return null;
        }

        var report = new RigReport
        {
            History = history,
            From = from,
            To = to,
            Now = ForecastOf(history, to, libraries, cancel),
            Then = [],
            Changes = await ChangesOfAsync(context, history, from, to, cancel),
            Costs = await CostsOfAsync(context, history, from, to, cancel),
        };
        progress?.Report(0.4);
        return report with { Then = await ThenOfAsync(context, report, libraries, cancel) };
    }

    /// <summary>Whether a moment lies in the period.</summary>
    public bool IsIn(DateTimeOffset at) => at >= From && at < To;

    private static RigForecast? ForecastOf(
        RigHistory history,
        DateTimeOffset at,
        LifeLibraries libraries,
        CancellationToken cancel
    ) =>
        UnsolvedException.Unless(
            history.Rig.Name,
            () => RigForecast.Of(history, at, Members, Seed, out _, libraries, cancel: cancel)
        );

    /// <summary>
    /// The forecast nearest the middle of each of the last fills that ran in the period, as it was kept; made again for the middle
    /// where none was.
    /// </summary>
    private static async Task<IReadOnlyList<ForecastThen>> ThenOfAsync(
        LogbookContext context,
        RigReport report,
        LifeLibraries libraries,
        CancellationToken cancel
    )
    {
        List<ForecastThen> found = [];
        if (report is not { Line: { } line, History.Polisher: { } last })
        {
            return found;
        }

        Id<Rig> rig = report.History.Rig.Id;
        List<KeptForecast> kept = await context
            .Live<KeptForecast>()
            .Where(k => k.RigId == rig)
            .ToListAsync(cancel);
        foreach (
            FillHistory fill in last
                .Fills.Where(f =>
                    f.Fill.PutInAt < report.To && (f.Fill.TakenOutAt ?? report.To) > report.From
                )
                .TakeLast(MostForecasts)
        )
        {
            DateTimeOffset end = fill.Fill.TakenOutAt is { } out_ && out_ < report.To ? out_ : report.To;
            DateTimeOffset middle = fill.Fill.PutInAt + (0.5 * (end - fill.Fill.PutInAt));
            KeptForecast? asKept = kept.Where(k => k.FillId == fill.Fill.Id && k.At < end && IsOf(k, line))
                .MinBy(k => (k.At - middle).Duration());
            DateTimeOffset at = asKept?.At ?? middle;
            if (
                (asKept is null ? await MadeAgainAsync(middle) : ForecastKeeping.LeftOf(asKept))
                is not { } left
            )
            {
                continue;
            }

            DateTimeOffset? passed = LinePassing
                .Of(report.History, last, fill, line, RigBed.MeterFactorOf(report.History))
                ?.Past;
            if (passed <= at)
            {
                continue;
            }

            found.Add(
                new ForecastThen(
                    at,
                    last.Stage.Name,
                    left,
                    LitersPerCubicMeter
                        * fill.Draws.Where(d => d.At > at && d.At <= (passed ?? end)).Sum(d => d.Volume_m3),
                    passed is not null,
                    asKept is not null
                )
            );
        }

        return found;

        async Task<Band?> MadeAgainAsync(DateTimeOffset at) =>
            await RigHistory.LoadAsync(context, rig, at, cancel) is { } then
            && ForecastOf(then, at, libraries, cancel) is { } forecast
                ? forecast.Answers.To(line, RigBed.MeterFactorOf(then)).Liters
                : null;
    }

    private static bool IsOf(KeptForecast kept, ChangeOutLine line) =>
        ChangeOutLine.TryParse("line", kept.Line, out ChangeOutLine? its, out _)
        && its.Kind == line.Kind
        && its.Value.Equals(line.Value);

    private static async Task<IReadOnlyList<Change>> ChangesOfAsync(
        LogbookContext context,
        RigHistory history,
        DateTimeOffset from,
        DateTimeOffset to,
        CancellationToken cancel
    )
    {
        Dictionary<long, Edit> edits = await context
            .Edits.AsNoTracking()
            .ToDictionaryAsync(e => e.Number, cancel);
        List<Change> changes = [];
        foreach (StageHistory stage in history.Stages)
        {
            foreach (Fill fill in stage.Fills.Select(f => f.Fill))
            {
                Edit? edit = edits.GetValueOrDefault(fill.EditNumber);
                void Add(DateTimeOffset at, string what)
                {
                    if (at >= from && at < to)
                    {
                        changes.Add(new Change(at, what, edit?.Author ?? "", edit?.Reason ?? ""));
                    }
                }

                Add(fill.PutInAt, $"{stage.Stage.Name}: {fill.Medium} put in");
                if (fill.TakenOutAt is { } gone)
                {
                    Add(gone, $"{stage.Stage.Name}: {fill.Medium} taken out");
                }
            }
        }

        HashSet<Id<Rinsewright.Records.Logbook.Stage>> stages = [.. history.Stages.Select(s => s.Stage.Id)];
        foreach (
            Note note in await context.Live<Note>().Where(n => n.At >= from && n.At < to).ToListAsync(cancel)
        )
        {
            if (note.RigId == history.Rig.Id || (note.StageId is { } of && stages.Contains(of)))
            {
                changes.Add(
                    new Change(note.At, note.Text, edits.GetValueOrDefault(note.EditNumber)?.Author ?? "", "")
                );
            }
        }

        return [.. changes.OrderBy(c => c.At)];
    }

    /// <summary>What was bought for the rig, what its fills took from stock, and its water at the price of the day; to the cent.</summary>
    public static async Task<IReadOnlyList<Cost>> CostsOfAsync(
        LogbookContext context,
        RigHistory history,
        DateTimeOffset from,
        DateTimeOffset to,
        CancellationToken cancel
    )
    {
        Dictionary<Id<Purchase>, Purchase> purchases = await context
            .Live<Purchase>()
            .ToDictionaryAsync(p => p.Id, cancel);
        List<Cost> costs = [];
        HashSet<Id<Purchase>> taken = [];
        foreach (
            Fill fill in history
                .Stages.SelectMany(s => s.Fills)
                .Select(f => f.Fill)
                .Where(f => f.PutInAt >= from && f.PutInAt < to)
        )
        {
            if (fill.PurchaseId is not { } id || !purchases.TryGetValue(id, out Purchase? bought))
            {
                continue;
            }

            decimal share =
                fill.Volume_m3 is { } volume && bought.Volume_m3 is { } whole
                    ? (decimal)(volume / whole)
                    : 1m / bought.Count;
            taken.Add(id);
            costs.Add(new Cost(bought.What, decimal.Round(bought.Amount * share, 2), bought.Currency));
        }

        costs.AddRange(
            purchases
                .Values.Where(p =>
                    p.RigId == history.Rig.Id && p.At >= from && p.At < to && !taken.Contains(p.Id)
                )
                .Select(p => new Cost(p.What, p.Amount, p.Currency))
        );
        Draw[] draws = [.. history.Draws.Where(d => d.At >= from && d.At < to)];
        List<Price> prices = await context.Live<Price>().ToListAsync(cancel);
        costs.AddRange(
            prices
                .Where(p => p.Basis is PriceBasis.PerCubicMeter)
                .GroupBy(p => (p.What, p.Currency))
                .Select(g => new Cost(g.Key.What, YearOfMoney.Running(g, draws), g.Key.Currency))
        );
        return
        [
            .. costs
                .GroupBy(c => (c.What, c.Currency))
                .Select(g => new Cost(g.Key.What, g.Sum(c => c.Amount), g.Key.Currency))
                .Where(c => c.Amount > 0m)
                .OrderBy(c => c.Currency, StringComparer.Ordinal)
                .ThenByDescending(c => c.Amount),
        ];
    }
}
