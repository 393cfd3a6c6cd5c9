using System.Security.Cryptography;
using System.Text;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Forecasting;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;

namespace Rinsewright.Records.Forecasts;

/// <summary>Keeps forecasts in the record: those of beds until the truth is known, those of cartridges for whoever looks at many rigs.</summary>
public static class ForecastKeeping
{
    private const double LitersPerCubicMeter = 1000;
    private const int Decimals_m3 = 4; // a tenth of a litre
    private const int Decimals_d = 2;
    private const double DaysPerWeek = 7;
    private const double LeastNews_days = 2;
    private const double LeastNews = 0.1; // of the days left
    private static readonly TimeSpan WearIsOldAfter = TimeSpan.FromDays(7);

    /// <summary>The entry that keeps what was forecast to one line.</summary>
    /// <param name="ids">Gives it its id.</param>
    /// <param name="forecast">The forecast.</param>
    /// <param name="line">What is left to the line.</param>
    /// <param name="meterFactor">Factor from conductivity to TDS that the line was read with [-].</param>
    /// <param name="at">The moment of asking.</param>
    /// <param name="seed">The seed that the forecast was made with.</param>
    /// <param name="costs">What a change and spots cost, for the advice when to change; nothing where that is not known.</param>
    /// <param name="rotation">What moving up the beds gives at that line; nothing where there is one alone.</param>
    public static KeptForecast Of(
        IdSource ids,
        RigForecast forecast,
        LineOutlook line,
        double meterFactor,
        DateTimeOffset at,
        int seed,
        ChangeCosts? costs = null,
        Rotation? rotation = null
    )
    {
        ChangeAdvice? advice = costs is null ? null : forecast.WhenToChange(line.Line, meterFactor, costs);
        return new()
        {
            Id = ids.Next<KeptForecast>(),
            RigId = forecast.History.Rig.Id,
            StageId = forecast.Stage.Stage.Id,
            FillId = forecast.Fill.Fill.Id,
            At = at,
            Model = FillForecast.ModelVersion,
            Members = forecast.Answers.Members,
            Seed = seed,
            Line = line.Line.Text,
            MeterFactor = meterFactor,
            LeftQuantiles_m3 = Quantiles([.. line.LitersLeft], 1 / LitersPerCubicMeter, Decimals_m3),
            DaysQuantiles_d = Quantiles([.. line.WeeksLeft], DaysPerWeek, Decimals_d),
            PassedNow = line.PassedNow,
            FillCost = costs?.Fill,
            SpotCost_per_m3 = costs?.SpotPerLiter * LitersPerCubicMeter,
            ChangeAfter_m3 =
                advice?.LitersFromNow is { } liters && double.IsFinite(liters)
                    ? Math.Round(liters / LitersPerCubicMeter, Decimals_m3)
                    : null,
            CostNow_per_m3 = advice?.CostNow * LitersPerCubicMeter,
            CostThen_per_m3 = advice?.CostThen * LitersPerCubicMeter,
            RotationCostShares = rotation is null
                ? null
                : [rotation.CostShare.Median, rotation.CostShare.P05, rotation.CostShare.P95],
        };
    }

    /// <summary>What a stage's forecast of the day is kept as: one entry for each of its lines.</summary>
    /// <param name="ids">Gives them their ids.</param>
    /// <param name="forecast">The forecast.</param>
    /// <param name="meterFactor">Factor from conductivity to TDS [-].</param>
    /// <param name="at">The moment of asking.</param>
    /// <param name="seed">The seed that the forecast was made with.</param>
    /// <returns>The entries, that of the line at which the stage is changed first.</returns>
    public static IReadOnlyList<KeptForecast> AllOf(
        IdSource ids,
        RigForecast forecast,
        double meterFactor,
        DateTimeOffset at,
        int seed
    )
    {
        ChangeOutLine changed = ForecastLines.Of(forecast.Stage.Stage);
        return
        [
            .. ForecastLines
                .AllOf(forecast.Stage)
                .Select(line =>
                    Of(
                        ids,
                        forecast,
                        forecast.Answers.To(line, meterFactor),
                        meterFactor,
                        at,
                        seed,
                        rotation: line == changed ? forecast.RotationAt(line, meterFactor) : null
                    )
                ),
        ];
    }

    /// <summary>What is to be kept of forecasts of cartridges: those that say something new.</summary>
    /// <param name="context">The record.</param>
    /// <param name="ids">Gives them their ids.</param>
    /// <param name="forecasts">The forecasts.</param>
    /// <param name="at">The moment of asking.</param>
    /// <param name="seed">The seed that they were made with.</param>
    /// <param name="cancel">Stops it.</param>
    public static async Task<IReadOnlyList<KeptWear>> NewWearAsync(
        LogbookContext context,
        IdSource ids,
        IReadOnlyCollection<WearForecast> forecasts,
        DateTimeOffset at,
        int seed,
        CancellationToken cancel
    )
    {
        List<Id<Fill>> fills = [.. forecasts.Select(f => f.Fill.Fill.Id)];
        List<KeptWear> known = await context
            .Live<KeptWear>()
            .Where(w => fills.Contains(w.FillId))
            .ToListAsync(cancel);
        return
        [
            .. forecasts
                .Select(f => new KeptWear
                {
                    Id = ids.Next<KeptWear>(),
                    RigId = f.Stage.Stage.RigId,
                    StageId = f.Stage.Stage.Id,
                    FillId = f.Fill.Fill.Id,
                    At = at,
                    Seed = seed,
                    EndedBy = f.EndedBy.ToString(),
                    DaysQuantiles_d = Quantiles([.. f.Outlook.WeeksLeft], DaysPerWeek, Decimals_d),
                    ServiceUntil = f.ServiceUntil,
                })
                .Where(f =>
                    SaysMore(f, known.Where(k => k.FillId == f.FillId).MaxBy(k => (k.At, k.Id.Value)))
                ),
        ];
    }

    /// <summary>Whether a forecast of a cartridge says another day than the one that was kept last, or that one is old.</summary>
    private static bool SaysMore(KeptWear made, KeptWear? last)
    {
        if (last is null || made.At - last.At >= WearIsOldAfter || made.ServiceUntil != last.ServiceUntil)
        {
            return true;
        }

        double days = KeptQuantiles.At(made.DaysQuantiles_d, 0.5) ?? double.PositiveInfinity;
        double said =
            (KeptQuantiles.At(last.DaysQuantiles_d, 0.5) ?? double.PositiveInfinity)
            - (made.At - last.At).TotalDays;
        return Math.Abs(days - Math.Max(said, 0)) > Math.Max(LeastNews_days, LeastNews * days);
    }

    /// <summary>
    /// The edit that keeps a fill's forecast of one day, by nobody's asking: written twice, from several machines or after it
    /// was taken back, it is written once.
    /// </summary>
    /// <param name="kept">The forecast.</param>
    /// <param name="day">The day where the rig is.</param>
    public static EditDraft OfTheDay(KeptForecast kept, DateOnly day) =>
        new(
            Edit.OfItself,
            FormattableString.Invariant($"forecast of {day:yyyy-MM-dd} kept"),
            new Guid(
                SHA256
                    .HashData(
                        Encoding.UTF8.GetBytes(
                            FormattableString.Invariant($"kept forecast|{kept.FillId}|{day:yyyy-MM-dd}")
                        )
                    )
                    .AsSpan(0, 16)
            )
        );

    /// <summary>What a kept forecast said was left: its median and nine in ten; infinite where the line was not reached [L].</summary>
    /// <param name="kept">The forecast.</param>
    public static Band LeftOf(KeptForecast kept) =>
        KeptQuantiles.BandOf(kept.LeftQuantiles_m3, LitersPerCubicMeter);

    private static double?[] Quantiles(double[] sorted, double scale, int decimals) =>
        [
            .. Enumerable
                .Range(0, KeptForecast.QuantileCount)
                .Select(i => Band.Quantile(sorted, i / (KeptForecast.QuantileCount - 1.0)))
                .Select(q => double.IsFinite(q) ? Math.Round(scale * q, decimals) : (double?)null),
        ];
}
