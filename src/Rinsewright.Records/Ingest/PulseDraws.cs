using System.Runtime.InteropServices;

namespace Rinsewright.Records.Ingest;

/// <summary>What a counter showed at an instant.</summary>
[StructLayout(LayoutKind.Auto)]
public readonly record struct PulseCount(DateTimeOffset At, double Pulses);

/// <summary>Water that was drawn, as pulses tell it.</summary>
/// <param name="Start">When it began: at the report before the first pulse, if that is no longer ago than a pause.</param>
/// <param name="FirstRise">The first report with a pulse of it, which names it.</param>
/// <param name="End">The last report with a pulse of it.</param>
/// <param name="Volume_m3">Volume [m³].</param>
/// <param name="IsClosed">Whether the pause after it has passed.</param>
public sealed record PulseDraw(
    DateTimeOffset Start,
    DateTimeOffset FirstRise,
    DateTimeOffset End,
    double Volume_m3,
    bool IsClosed
)
{
    /// <summary>Mean flow [m³/s]; nothing when it came within one report.</summary>
    public double? Flow_m3_s => End > Start ? Volume_m3 / (End - Start).TotalSeconds : null;
}

/// <summary>Pulses that are no water, because no hose gives so much in that time.</summary>
/// <param name="From">The report before them.</param>
/// <param name="To">The report with them.</param>
/// <param name="Pulses">How many.</param>
public sealed record DroppedPulses(DateTimeOffset From, DateTimeOffset To, double Pulses);

/// <summary>
/// Turns the counts of a water meter with pulses into draws: pulses belong to one draw until none comes for a pause, or until a
/// new day (UTC) begins, so that a tap left open does not make one draw without end. A counter that shows less than before has
/// rolled over, if it has a size and the water could have run, or else was set back and counted from 0.
/// </summary>
/// <param name="PulsesPerLiter">Pulses in a litre.</param>
/// <param name="CounterSize">Count at which the counter starts again at 0; nothing when it never does.</param>
/// <param name="Pause">How long no pulse may come within one draw.</param>
public sealed record PulseMeter(double PulsesPerLiter, double? CounterSize, TimeSpan Pause)
{
    /// <summary>More than any hose gives, 300 L/min (our choice): pulses that would need it are no water.</summary>
    public const double MostFlow_m3_s = 0.3 / 60;

    /// <summary>The draws of a counter.</summary>
    /// <param name="counts">In the order of time; nothing is drawn before the first.</param>
    /// <param name="now">Until when it has been heard.</param>
    public IReadOnlyList<PulseDraw> DrawsOf(IReadOnlyList<PulseCount> counts, DateTimeOffset now)
    {
        var draws = new List<PulseDraw>();
        PulseDraw? open = null;
        for (int i = 1; i < counts.Count; i++)
        {
            (PulseCount before, PulseCount after) = (counts[i - 1], counts[i]);
            double volume = ToVolume(PulsesOf(before, after));
            if (volume == 0 || volume > Most_m3(before, after))
            {
                continue;
            }

            if (
                open is not null
                && (
                    after.At - open.End > Pause
                    || after.At.UtcDateTime.Date != open.FirstRise.UtcDateTime.Date
                )
            )
            {
                draws.Add(open with { IsClosed = true });
                open = null;
            }

            open = open is null
                ? new PulseDraw(
                    after.At - before.At <= Pause ? before.At : after.At,
                    after.At,
                    after.At,
                    volume,
                    IsClosed: false
                )
                : open with
                {
                    End = after.At,
                    Volume_m3 = open.Volume_m3 + volume,
                };
        }

        if (open is not null)
        {
            draws.Add(open with { IsClosed = now - open.End > Pause });
        }

        return draws;
    }

    /// <summary>What of a counter is no water.</summary>
    /// <param name="counts">In the order of time.</param>
    public IEnumerable<DroppedPulses> DroppedOf(IReadOnlyList<PulseCount> counts)
    {
        for (int i = 1; i < counts.Count; i++)
        {
            (PulseCount before, PulseCount after) = (counts[i - 1], counts[i]);
            double pulses = PulsesOf(before, after);
            if (ToVolume(pulses) > Most_m3(before, after))
            {
                yield return new DroppedPulses(before.At, after.At, pulses);
            }
        }
    }

    private double PulsesOf(PulseCount before, PulseCount after)
    {
        double pulses = after.Pulses - before.Pulses;
        if (pulses >= 0)
        {
            return pulses;
        }

        double rolledOver = CounterSize is { } size ? pulses + size : double.PositiveInfinity;
        return ToVolume(rolledOver) <= Most_m3(before, after) ? rolledOver : after.Pulses;
    }

    private static double Most_m3(PulseCount before, PulseCount after) =>
        MostFlow_m3_s * (after.At - before.At).TotalSeconds;

    private double ToVolume(double pulses) => pulses / PulsesPerLiter / 1000;
}
