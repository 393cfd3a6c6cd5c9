using System.Runtime.InteropServices;
using Rinsewright.Records.Histories;
using Rinsewright.Treatment;

namespace Rinsewright.Records.Forecasts;

/// <summary>
/// What is known of when a line was passed, seen from the moment of a forecast: between the last reading below it and the first
/// past it, or later than the last reading when the fill was taken out before.
/// </summary>
/// <param name="Least_L">Logged litres that were left at least [L].</param>
/// <param name="Most_L">Logged litres that were left at most; infinite when the fill was taken out before the line [L].</param>
/// <param name="Least_d">Days that were left at least [d].</param>
/// <param name="Most_d">Days that were left at most [d].</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct LineTruth(double Least_L, double Most_L, double Least_d, double Most_d)
{
    /// <summary>Whether the line was passed while the fill was in.</summary>
    public bool IsPassed => double.IsFinite(Most_L);
}

/// <summary>When a fill passed a line, as its readings have it.</summary>
/// <param name="Below">The last reading below the line, or the moment it was filled.</param>
/// <param name="Past">The first reading past it that the next one bears out; nothing when the fill was taken out before.</param>
/// <param name="LoggedAt">Water through the fill up to an instant [L].</param>
public sealed record LinePassing(
    DateTimeOffset Below,
    DateTimeOffset? Past,
    Func<DateTimeOffset, double> LoggedAt
)
{
    private const double LitersPerCubicMeter = 1000;

    /// <summary>When a fill passed a line; nothing while that is still to come.</summary>
    /// <param name="history">The rig.</param>
    /// <param name="stage">The stage.</param>
    /// <param name="fill">The fill in it.</param>
    /// <param name="line">The line.</param>
    /// <param name="meterFactor">Factor from conductivity to TDS that the line is read with [-].</param>
    public static LinePassing? Of(
        RigHistory history,
        StageHistory stage,
        FillHistory fill,
        ChangeOutLine line,
        double meterFactor
    )
    {
        (DateTimeOffset At, bool IsPast)[] readings =
        [
            .. history
                .Readings.Where(r =>
                    fill.WasInAt(r.Reading.At) && RigForecast.IsOfOutlet(history, stage.Stage, r.Reading)
                )
                .Select(r => (r.Reading, Shown: ForecastLines.Shown(line, r, meterFactor)))
                // That it is less than something above the line says nothing.
                .Where(r => r.Shown <= line.Value || (r.Shown is not null && !r.Reading.IsBelowLimit))
                .Select(r => (r.Reading.At, !r.Reading.IsBelowLimit && r.Shown >= line.Value)),
        ];
        int past = Array.FindIndex(readings, r => r.IsPast);
        while (past >= 0 && past + 1 < readings.Length && !readings[past + 1].IsPast)
        {
            // The next reading does not bear it out: a slip.
            past = Array.FindIndex(readings, past + 1, r => r.IsPast);
        }

        int below = past < 0 ? readings.Length - 1 : past - 1;
        return past < 0 && fill.Fill.TakenOutAt is null
            ? null
            : new LinePassing(
                below >= 0 ? readings[below].At : fill.Fill.PutInAt,
                past < 0 ? null : readings[past].At,
                LoggedBy(RigForecast.Passed(history, fill))
            );
    }

    /// <summary>What was left at a moment; nothing when no reading came after it that was not known before.</summary>
    public LineTruth? SeenFrom(DateTimeOffset at)
    {
        if ((Past ?? Below) <= at)
        {
            return null;
        }

        DateTimeOffset least = Below > at ? Below : at;
        double now = LoggedAt(at);
        return new LineTruth(
            LoggedAt(least) - now,
            Past is { } past ? LoggedAt(past) - now : double.PositiveInfinity,
            (least - at).TotalDays,
            Past is { } then ? (then - at).TotalDays : double.PositiveInfinity
        );
    }

    private static Func<DateTimeOffset, double> LoggedBy(
        IEnumerable<(DateTimeOffset At, double Volume_m3)> draws
    )
    {
        (DateTimeOffset At, double Volume_m3)[] all = [.. draws];
        return at => LitersPerCubicMeter * all.Where(d => d.At <= at).Sum(d => d.Volume_m3);
    }
}
