using System.Collections.Immutable;
using System.Runtime.InteropServices;
using Rinsewright.Forecasting;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Treatment;

namespace Rinsewright.Web.Estimates;

/// <summary>What a forecast says of the fill in a rig's last bed, worked out once for all pages.</summary>
public sealed record FillOutlook
{
    private const int CurvePoints = 72;
    private const double DaysPerWeek = 7;
    private const double PastTheLine = 1.15; // of the time to the late end of the line's range
    private const double LeastAhead_days = 14;
    private const double MostAhead_days = 3 * 365;
    private const double PocketStep_uS_cm = 2; // 1 ppm on the usual pocket meter

    /// <summary>The moment of asking.</summary>
    public required DateTimeOffset At { get; init; }

    /// <summary>What is left to the change-out line.</summary>
    public required LineOutlook Line { get; init; }

    /// <summary>What is left until silica passes.</summary>
    public required LineOutlook Silica { get; init; }

    /// <summary>Logged water through the fill [L].</summary>
    public required double Logged_L { get; init; }

    /// <summary>Readings that it rests on.</summary>
    public required int Readings { get; init; }

    /// <summary>Water through the bed in a usual week [L/week].</summary>
    public required double Weekly_L { get; init; }

    /// <summary>Litres that a wash takes through the bed; nothing when the record does not say [L].</summary>
    public double? PerWash_L { get; init; }

    /// <summary>True conductance of what leaves now [µS/cm].</summary>
    public required Band Outlet_uS_cm { get; init; }

    /// <summary>True conductance of what enters now [µS/cm].</summary>
    public required Band Inlet_uS_cm { get; init; }

    /// <summary>Possible causes of the last reading behind the bed, the most probable first.</summary>
    public required ImmutableArray<Explanation> Causes { get; init; }

    /// <summary>Readings worth taking next, the most telling first.</summary>
    public required ImmutableArray<NextReading> Next { get; init; }

    /// <summary>What is left of the carbon blocks and sediment cartridges, in the order in which the water meets them.</summary>
    public required ImmutableArray<WearForecast> Wear { get; init; }

    /// <summary>What moving up the beds gives at the line; nothing where there is one alone.</summary>
    public Rotation? Rotation { get; init; }

    /// <summary>Name of the first of the beds.</summary>
    public required string FirstBed { get; init; }

    /// <summary>What it rests on, in words.</summary>
    public required ImmutableArray<Sentence> Remarks { get; init; }

    /// <summary>What leaves the bed from the day it was filled to beyond the line.</summary>
    public required ImmutableArray<ExpectedOutlet> Curve { get; init; }

    /// <summary>Works everything out.</summary>
    /// <param name="forecast">The forecast.</param>
    /// <param name="line">The line at which the bed is changed.</param>
    /// <param name="meterFactor">Factor from conductivity to TDS [-].</param>
    /// <param name="now">The moment that it was made for.</param>
    /// <param name="seed">Seed of the chance in what wears before the bed.</param>
    public static FillOutlook Of(
        RigForecast forecast,
        ChangeOutLine line,
        double meterFactor,
        DateTimeOffset now,
        int seed
    )
    {
        FillForecast answers = forecast.Answers;
        LineOutlook left = answers.To(line, meterFactor);
        return new FillOutlook
        {
            At = now,
            Line = left,
            Silica = answers.To(ForecastLines.Silica, meterFactor),
            Logged_L = forecast.Case.LoggedLiters,
            Readings = forecast.Case.Readings.Length,
            Weekly_L = forecast.Case.Usage.LitersPerWeek,
            PerWash_L = forecast.LitersPerWash,
            Outlet_uS_cm = answers.OutletNow,
            Inlet_uS_cm = answers.SourceNow,
            Causes = answers.Explain(),
            Next = answers.WorthReading(line, meterFactor, PocketStep_uS_cm),
            Wear = WearForecast.Of(forecast.History, now, seed),
            Rotation = forecast.RotationAt(line, meterFactor),
            FirstBed = forecast.FirstBed.Stage.Name,
            Remarks = forecast.Remarks,
            Curve = CurveOf(forecast, left),
        };
    }

    private static ImmutableArray<ExpectedOutlet> CurveOf(RigForecast forecast, LineOutlook left)
    {
        FillCase fill = forecast.Case;
        double ahead = Math.Clamp(
            PastTheLine * DaysPerWeek * left.Weeks.P95,
            LeastAhead_days,
            MostAhead_days
        );
        double whole = fill.Now + ahead;
        double LitersAt(double days) =>
            fill.Draws.Where(d => d.Days <= Math.Min(days, fill.Now)).Sum(d => d.Liters)
            + (Math.Max(days - fill.Now, 0) * fill.Usage.LitersPerWeek / DaysPerWeek);
        return
        [
            .. Enumerable
                .Range(0, CurvePoints + 1)
                .Select(i => whole * i / CurvePoints)
                .Select(days => new ExpectedOutlet(
                    forecast.Fill.Fill.PutInAt.AddDays(days),
                    LitersAt(days),
                    forecast.Answers.OutletAt(days)
                )),
        ];
    }
}

/// <summary>What is to be expected behind the bed at a moment.</summary>
/// <param name="At">The moment.</param>
/// <param name="Liters">Water through the fill by then [L].</param>
/// <param name="Conductance_uS_cm">True conductance of what leaves [µS/cm].</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct ExpectedOutlet(DateTimeOffset At, double Liters, Band Conductance_uS_cm);
