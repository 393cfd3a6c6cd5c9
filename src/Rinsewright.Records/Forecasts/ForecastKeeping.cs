using System.Security.Cryptography;
using System.Text;
using Rinsewright.Forecasting;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;

namespace Rinsewright.Records.Forecasts;

/// <summary>Keeps forecasts in the record until the truth is known.</summary>
public static class ForecastKeeping
{
    private const double LitersPerCubicMeter = 1000;
    private const int Decimals_m3 = 4; // a tenth of a litre
    private const int Decimals_d = 2;
    private const double DaysPerWeek = 7;

    /// <summary>Whether readings can ever show that a line was passed: no meter sees silica, residue or spots.</summary>
    public static bool CanComeTrue(ChangeOutLine line) =>
        line.Kind is LineKind.MeterReading or LineKind.Conductivity;

    /// <summary>The entry that keeps what was forecast to one line.</summary>
    /// <param name="ids">Gives it its id.</param>
    /// <param name="forecast">The forecast.</param>
    /// <param name="line">What is left to the line.</param>
    /// <param name="meterFactor">Factor from conductivity to TDS that the line was read with [-].</param>
    /// <param name="at">The moment of asking.</param>
    /// <param name="seed">The seed that the forecast was made with.</param>
    public static KeptForecast Of(
        IdSource ids,
        RigForecast forecast,
        LineOutlook line,
        double meterFactor,
        DateTimeOffset at,
        int seed
    ) =>
        new()
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
        };

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
    public static Band LeftOf(KeptForecast kept)
    {
        double At(double probability) =>
            LitersPerCubicMeter
                * kept.LeftQuantiles_m3[(int)Math.Round(probability * (KeptForecast.QuantileCount - 1))]
            ?? double.PositiveInfinity;
        return new Band(At(0.5), At(0.05), At(0.95));
    }

    private static double?[] Quantiles(double[] sorted, double scale, int decimals) =>
        [
            .. Enumerable
                .Range(0, KeptForecast.QuantileCount)
                .Select(i => Band.Quantile(sorted, i / (KeptForecast.QuantileCount - 1.0)))
                .Select(q => double.IsFinite(q) ? Math.Round(scale * q, decimals) : (double?)null),
        ];
}
