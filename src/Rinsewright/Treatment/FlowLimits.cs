using System.Globalization;
using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>Checks a solved line against the limits of what it is built of.</summary>
internal static class FlowLimits
{
    private const double LeastSharedFlow = 0.98;

    public static IEnumerable<Warning> Check(
        FlowLine line,
        Tool tool,
        double flow_m3_s,
        Temperature temperature
    )
    {
        FlowingWater water = FlowingWater.At(temperature);
        if (flow_m3_s <= 0.0)
        {
            yield return new Warning(
                WarningLevel.Caution,
                tool.Name,
                Sentence.Of(
                    "No water reaches it: the supply's pressure does not cover the rise and what it needs at its inlet."
                )
            );
        }
        else if (
            tool is PressureWasher washer
            && flow_m3_s < LeastSharedFlow * washer.Demand.CubicMetersPerSecond
        )
        {
            yield return new Warning(
                WarningLevel.Danger,
                tool.Name,
                Sentence.Of(
                    $"Its pump wants {washer.Demand} and the line gives {Liters(flow_m3_s)} at {washer.LeastInletPressure}: it starves and wears. Shorten or widen the hose, or feed it from a tank."
                )
            );
        }

        foreach ((FlowElement element, ElementPressure at) in line.Elements.Zip(line.Along(flow_m3_s, water)))
        {
            foreach (Warning warning in OfElement(element, at, flow_m3_s, temperature, water))
            {
                yield return warning;
            }
        }
    }

    private static IEnumerable<Warning> OfElement(
        FlowElement element,
        ElementPressure at,
        double flow_m3_s,
        Temperature temperature,
        FlowingWater water
    )
    {
        if (element.RatedPressure is { } rated && at.Resting > rated)
        {
            yield return new Warning(
                WarningLevel.Danger,
                element.Name,
                Sentence.Of(
                    $"With the tool shut it stands at {at.Resting}, above its rated {rated}: it can burst. Fit a pressure reducer before it."
                )
            );
        }

        if (element.RatedTemperature is { } hottest && temperature > hottest)
        {
            yield return new Warning(
                WarningLevel.Danger,
                element.Name,
                Sentence.Of($"Water of {temperature} is above its rated {hottest}.")
            );
        }

        if (flow_m3_s > 0.0 && at.Inlet.Pascals - at.Loss.Pascals - element.Lift_Pa(water) < 0.0)
        {
            yield return new Warning(
                WarningLevel.Caution,
                element.Name,
                Sentence.Of(
                    "The pressure after it is below that of the air: it draws air, hoses collapse, and dirty water can be sucked back."
                )
            );
        }

        (double Velocity_m_s, Speed Highest)[] tooFast =
        [
            .. BedsOf(element, flow_m3_s).Where(b => b.Velocity_m_s > b.Highest.MetersPerSecond),
        ];
        if (tooFast.Length > 0)
        {
            (double velocity_m_s, Speed highest) = tooFast.MaxBy(b => b.Velocity_m_s);
            double velocity_m_h = velocity_m_s * 3600.0;
            yield return new Warning(
                WarningLevel.Caution,
                element.Name,
                Sentence.Of(
                    $"Water passes the bed at {velocity_m_h:F0} m/h; above {highest.MetersPerHour:F0} m/h it slips and channels. Draw more gently, or take a wider vessel or two in parallel."
                )
            );
        }
    }

    /// <summary>The beds in an element that have a limit, and how fast the water passes each.</summary>
    private static IEnumerable<(double Velocity_m_s, Speed Highest)> BedsOf(
        FlowElement element,
        double flow_m3_s
    ) =>
        element switch
        {
            PackedBed { HighestVelocity: { } highest } bed => [(bed.Velocity_m_s(flow_m3_s), highest)],
            EvenSplit split => BedsOf(split.Each, flow_m3_s / split.Count),
            InRow row => row.Members.SelectMany(m => BedsOf(m, flow_m3_s)),
            Bypassed part => BedsOf(part.Around, part.Through_m3_s(flow_m3_s)),
            _ => [],
        };

    private static string Liters(double flow_m3_s) =>
        string.Create(CultureInfo.InvariantCulture, $"{flow_m3_s * 60e3:F1} L/min");
}
