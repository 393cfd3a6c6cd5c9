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
            foreach (Warning warning in OfElement(element, at, flow_m3_s, temperature))
            {
                yield return warning;
            }
        }
    }

    private static IEnumerable<Warning> OfElement(
        FlowElement element,
        ElementPressure at,
        double flow_m3_s,
        Temperature temperature
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

        if (flow_m3_s > 0.0 && at.Inlet.Pascals - at.Loss.Pascals < 0.0)
        {
            yield return new Warning(
                WarningLevel.Caution,
                element.Name,
                Sentence.Of(
                    "The pressure after it is below that of the air: it draws air, hoses collapse, and dirty water can be sucked back."
                )
            );
        }

        (PackedBed? bed, int count) = element switch
        {
            PackedBed one => (one, 1),
            EvenSplit { Each: PackedBed each } split => (each, split.Count),
            _ => (null, 1),
        };
        if (
            bed is { HighestVelocity: { } highest }
            && bed.Velocity_m_s(flow_m3_s / count) > highest.MetersPerSecond
        )
        {
            double velocity_m_h = bed.Velocity_m_s(flow_m3_s / count) * 3600.0;
            yield return new Warning(
                WarningLevel.Caution,
                element.Name,
                Sentence.Of(
                    $"Water passes the bed at {velocity_m_h:F0} m/h; above {highest.MetersPerHour:F0} m/h it slips and channels. Draw more gently, or take a wider vessel or two in parallel."
                )
            );
        }
    }

    private static string Liters(double flow_m3_s) =>
        string.Create(CultureInfo.InvariantCulture, $"{flow_m3_s * 60e3:F1} L/min");
}
