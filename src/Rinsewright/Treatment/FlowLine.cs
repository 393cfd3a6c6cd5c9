using Rinsewright.Numerics;
using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>Where a line takes its water: a spigot, or the delivery pump of a tank.</summary>
/// <param name="StaticPressure">Pressure above the air with everything shut.</param>
/// <param name="OpenFlow">
/// Flow when it runs open into a bucket, if measured: the pressure then falls as the square of the flow, to zero at
/// this flow. Without it the pressure is taken as constant, which flatters a weak supply.
/// </param>
public sealed record WaterSupply(Pressure StaticPressure, VolumeFlow? OpenFlow = null)
{
    internal double Pressure_Pa(double flow_m3_s)
    {
        double ratio = OpenFlow is { } open ? flow_m3_s / open.CubicMetersPerSecond : 0.0;
        return StaticPressure.Pascals * (1.0 - (ratio * ratio)); // eq. hydraulics-10
    }
}

/// <summary>One element at the solved flow.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Inlet">Pressure before it, above the air.</param>
/// <param name="Loss">Pressure lost in it by friction.</param>
/// <param name="Resting">Greatest pressure in it with the tool shut, which its walls must bear.</param>
public readonly record struct ElementPressure(string Name, Pressure Inlet, Pressure Loss, Pressure Resting);

/// <summary>What a tool gets.</summary>
/// <param name="Tool">The tool.</param>
/// <param name="Flow">The flow it really gets.</param>
/// <param name="ToolPressure">Pressure at its inlet, above the air.</param>
/// <param name="Elements">Pressure along the line, from the supply on.</param>
/// <param name="Warnings">Limits that are passed.</param>
public sealed record FlowSolution(
    Tool Tool,
    VolumeFlow Flow,
    Pressure ToolPressure,
    IReadOnlyList<ElementPressure> Elements,
    IReadOnlyList<Warning> Warnings
);

/// <summary>A line from a supply through its elements to a tool: finds the flow that the tool gets.</summary>
/// <remarks>
/// Steady flow of water without air; kinetic energy between elements is neglected against the losses (it is carried
/// by the exit coefficient of the last conduit where it matters). Every loss rises with the flow and the supply falls
/// with it, so there is one flow at most (docs/models/hydraulics.md).
/// </remarks>
/// <param name="Supply">Where the water comes from.</param>
/// <param name="Elements">What it passes, in order.</param>
public sealed record FlowLine(WaterSupply Supply, IReadOnlyList<FlowElement> Elements)
{
    private const double LargestFlow_m3_s = 1.0;

    /// <summary>Solves the flow that the tool gets.</summary>
    /// <param name="tool">The tool at the end.</param>
    /// <param name="temperature">Temperature of the water.</param>
    /// <returns>The flow, or zero flow with a warning when the pressure does not lift the water to the tool.</returns>
    public FlowSolution Solve(Tool tool, Temperature temperature)
    {
        FlowingWater water = FlowingWater.At(temperature);
        double flow = tool switch
        {
            Nozzle nozzle => FlowWhere(q => PressureAtTool_Pa(q, water) - nozzle.Need_Pa(q)),
            PressureWasher washer => double.Min(
                washer.Demand.CubicMetersPerSecond,
                FlowWhere(q => PressureAtTool_Pa(q, water) - washer.LeastInletPressure.Pascals)
            ),
            _ => throw new ArgumentOutOfRangeException(nameof(tool), tool, "A nozzle or a pressure washer."),
        };
        return new FlowSolution(
            tool,
            VolumeFlow.FromCubicMetersPerSecond(flow),
            Pressure.FromPascals(PressureAtTool_Pa(flow, water)),
            Along(flow, water),
            [.. FlowLimits.Check(this, tool, flow, temperature)]
        );
    }

    /// <summary>Pressure that reaches the tool [Pa] at a flow [m³/s].</summary>
    internal double PressureAtTool_Pa(double flow_m3_s, FlowingWater water)
    {
        double pressure = Supply.Pressure_Pa(flow_m3_s);
        foreach (FlowElement element in Elements)
        {
            double friction = element.Loss_Pa(flow_m3_s, water);
            double lift = element.Lift_Pa(water);
            pressure -= friction + lift; // eq. hydraulics-11
        }

        return pressure;
    }

    /// <summary>Pressure along the line at a flow [m³/s].</summary>
    internal IReadOnlyList<ElementPressure> Along(double flow_m3_s, FlowingWater water)
    {
        var along = new List<ElementPressure>(Elements.Count);
        double pressure = Supply.Pressure_Pa(flow_m3_s);
        double resting = Supply.StaticPressure.Pascals;
        foreach (FlowElement element in Elements)
        {
            double loss = element.Loss_Pa(flow_m3_s, water);
            double lift = element.Lift_Pa(water);
            along.Add(
                new ElementPressure(
                    element.Name,
                    Pressure.FromPascals(pressure),
                    Pressure.FromPascals(loss),
                    Pressure.FromPascals(double.Max(resting, resting - lift))
                )
            );
            pressure -= loss + lift;
            resting -= lift;
        }

        return along;
    }

    private static double FlowWhere(Func<double, double> surplus)
    {
        if (surplus(0.0) <= 0.0)
        {
            return 0.0;
        }

        double high = 1e-5;
        while (surplus(high) > 0.0 && high < LargestFlow_m3_s)
        {
            high *= 2.0;
        }

        return Bracketed.Root(surplus, 0.0, high, 1e-12);
    }
}
