using System.Collections.Immutable;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Forecasting;
using Rinsewright.Quantities;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;
using Rig = Rinsewright.Records.Logbook.Rig;

namespace Rinsewright.Records.Forecasts;

/// <summary>A kept forecast whose truth is known, with its score.</summary>
/// <param name="Forecast">The forecast.</param>
/// <param name="Stage">The stage.</param>
/// <param name="Fill">The fill in it.</param>
/// <param name="Truth">What came true.</param>
public sealed record ScoredForecast(
    KeptForecast Forecast,
    StageHistory Stage,
    FillHistory Fill,
    LineTruth Truth
)
{
    private const double LitersPerCubicMeter = 1000;
    private const double Horizon_L = 100_000;
    private const double Horizon_d = 3652.5;

    /// <summary>Score of the litres left [L]; the least that it can be when the fill was taken out before.</summary>
    public double Crps_L => Crps(Liters, Truth.Least_L, Truth.Most_L, Horizon_L);

    /// <summary>Score of the days left [d]; likewise.</summary>
    public double Crps_d => Crps(Days, Truth.Least_d, Truth.Most_d, Horizon_d);

    /// <summary>Where the truth lies in the litres that were forecast.</summary>
    public TruthPlace Place =>
        Scores.Place(
            Liters.AsSpan(),
            Math.Min(Truth.Least_L, Horizon_L),
            Truth.IsPassed ? Math.Min(Truth.Most_L, Horizon_L) : double.PositiveInfinity
        );

    /// <summary>Quantiles of the litres left; what is not reached, or only beyond 100 m³, counts as reached there [L].</summary>
    public ImmutableArray<double> Liters { get; } =
    [.. Forecast.LeftQuantiles_m3.Select(q => Math.Min(LitersPerCubicMeter * q ?? Horizon_L, Horizon_L))];

    /// <summary>Quantiles of the days left, up to ten years [d].</summary>
    public ImmutableArray<double> Days { get; } =
    [.. Forecast.DaysQuantiles_d.Select(q => Math.Min(q ?? Horizon_d, Horizon_d))];

    private double Crps(ImmutableArray<double> quantiles, double least, double most, double horizon) =>
        Scores.Crps(
            quantiles.AsSpan(),
            Math.Min(least, horizon),
            Truth.IsPassed ? Math.Min(most, horizon) : double.PositiveInfinity
        );
}

/// <summary>How the kept forecasts of a rig have fared.</summary>
public sealed record ForecastScores
{
    /// <summary>Kept forecasts whose truth is known, oldest first.</summary>
    public required ImmutableArray<ScoredForecast> Scored { get; init; }

    /// <summary>Kept forecasts whose truth is still to come.</summary>
    public required int Waiting { get; init; }

    /// <summary>Those of them that wait for a silica test behind the bed: no meter shows it.</summary>
    public int WaitingForSilica { get; init; }

    /// <summary>Kept forecasts that no reading can bear out: those of residue and of spots.</summary>
    public int NeverScored { get; init; }

    /// <summary>The newest kept forecast to each line of the fill that was forecast last, in the order in which they were kept.</summary>
    public ImmutableArray<KeptForecast> Newest { get; init; } = [];

    /// <summary>
    /// Fills that the scored forecasts are of: forecasts of one fill share one truth, so each fill counts alike, however many
    /// forecasts of it were kept.
    /// </summary>
    public int Fills => Scored.Select(s => s.Forecast.FillId).Distinct().Count();

    /// <summary>Mean score of the forecasts whose line was passed [L]; nothing without any.</summary>
    public double? MeanCrps_L => Mean(Scored.Where(s => s.Truth.IsPassed), s => s.Crps_L);

    /// <summary>Mean score of the forecasts whose line was passed [d].</summary>
    public double? MeanCrps_d => Mean(Scored.Where(s => s.Truth.IsPassed), s => s.Crps_d);

    /// <summary>Share of the truths in the lower share of their forecasts; as large as that when the forecasts are calibrated [-].</summary>
    /// <param name="share">The share, 0 to 1 [-].</param>
    public double? InLower(double share) => Mean(Scored, s => s.Place.InLower(share));

    /// <summary>Share of the truths that the middle of their forecasts held [-].</summary>
    /// <param name="share">Share of the forecast that the middle holds, such as 0.8 [-].</param>
    public double? Held(double share) => InLower(0.5 + 0.5 * share) - InLower(0.5 - 0.5 * share);

    /// <summary>Scores what is kept of a rig.</summary>
    /// <param name="context">The record.</param>
    /// <param name="history">The whole history of the rig.</param>
    /// <param name="cancel">Stops it.</param>
    public static async Task<ForecastScores> OfAsync(
        LogbookContext context,
        RigHistory history,
        CancellationToken cancel
    )
    {
        Id<Rig> rig = history.Rig.Id;
        return Of(
            history,
            await context
                .Live<KeptForecast>()
                .Where(f => f.RigId == rig)
                .OrderBy(f => f.At)
                .ThenBy(f => f.Id)
                .ToListAsync(cancel)
        );
    }

    /// <summary>Scores forecasts of a rig.</summary>
    /// <param name="history">The whole history of the rig.</param>
    /// <param name="kept">The forecasts.</param>
    public static ForecastScores Of(RigHistory history, IReadOnlyList<KeptForecast> kept)
    {
        var scored = ImmutableArray.CreateBuilder<ScoredForecast>();
        int waiting = 0;
        int silica = 0;
        int never = 0;
        foreach (
            IGrouping<(Id<Fill>, string, double), KeptForecast> group in kept.GroupBy(k =>
                (k.FillId, k.Line, k.MeterFactor)
            )
        )
        {
            if (
                Find(history, group.Key.Item1) is not { } found
                || !ChangeOutLine.TryParse(
                    "line",
                    group.Key.Item2,
                    out ChangeOutLine? line,
                    out InputProblem? _
                )
            )
            {
                continue;
            }

            if (!ForecastLines.CanComeTrue(line))
            {
                never += group.Count();
                continue;
            }

            LinePassing? end = LinePassing.Of(history, found.Stage, found.Fill, line, group.Key.Item3);
            foreach (KeptForecast forecast in group)
            {
                if (end is null)
                {
                    waiting++;
                    silica += line.Kind is LineKind.Silica ? 1 : 0;
                }
                else if (end.SeenFrom(forecast.At) is { } truth)
                {
                    scored.Add(new ScoredForecast(forecast, found.Stage, found.Fill, truth));
                }
            }
        }

        KeptForecast? last = kept.MaxBy(k => (k.At, k.Id.Value));
        return new ForecastScores
        {
            Scored = [.. scored.OrderBy(s => s.Forecast.At)],
            Waiting = waiting,
            WaitingForSilica = silica,
            NeverScored = never,
            Newest =
            [
                .. kept.Where(k => k.FillId == last?.FillId)
                    .GroupBy(k => k.Line, StringComparer.Ordinal)
                    .Select(g => g.MaxBy(k => (k.At, k.Id.Value))!)
                    .OrderBy(k => k.Id.Value),
            ],
        };
    }

    private static (StageHistory Stage, FillHistory Fill)? Find(RigHistory history, Id<Fill> id) =>
        history
            .Stages.SelectMany(s => s.Fills.Select(f => ((StageHistory, FillHistory)?)(s, f)))
            .FirstOrDefault(p => p!.Value.Item2.Fill.Id == id);

    /// <summary>Mean over fills of the mean over the forecasts of each.</summary>
    private static double? Mean(IEnumerable<ScoredForecast> scored, Func<ScoredForecast, double> of) =>
        scored.GroupBy(s => s.Forecast.FillId).Average(fill => (double?)fill.Average(of));
}
