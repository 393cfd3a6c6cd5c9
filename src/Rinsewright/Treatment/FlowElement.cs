using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>One thing the water passes on its way from the spigot to the tool, and the pressure it costs.</summary>
/// <param name="Name">What it is called in reports.</param>
public abstract record FlowElement(string Name)
{
    private const double Gravity_m_s2 = 9.80665;

    /// <summary>Highest pressure that its maker allows, if stated.</summary>
    public Pressure? RatedPressure { get; init; }

    /// <summary>Highest water temperature that its maker allows, if stated.</summary>
    public Temperature? RatedTemperature { get; init; }

    /// <summary>How far its outlet lies above its inlet [m]; negative when it lies below.</summary>
    public double Rise_m { get; init; }

    /// <summary>Pressure that its rise costs [Pa]; negative where it falls.</summary>
    internal double Lift_Pa(FlowingWater water) => water.Density_kg_m3 * Gravity_m_s2 * Rise_m;

    /// <summary>Pressure lost by friction [Pa] at a flow [m³/s]; zero at rest and rising with the flow.</summary>
    internal abstract double Loss_Pa(double flow_m3_s, FlowingWater water);
}

/// <summary>A pipe or hose with its fittings.</summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="InnerDiameter">Inside diameter.</param>
/// <param name="Length">Length.</param>
/// <param name="Roughness">Equivalent sand roughness of the wall.</param>
/// <param name="MinorLoss">Sum of the loss coefficients of its bends, valves and couplings, by its own velocity [-].</param>
public sealed record Conduit(
    string Name,
    Length InnerDiameter,
    Length Length,
    Length Roughness,
    double MinorLoss = 0.0
) : FlowElement(Name)
{
    internal override double Loss_Pa(double flow_m3_s, FlowingWater water) =>
        PipeFriction.PressureLoss_Pa(
            flow_m3_s,
            InnerDiameter.Meters,
            Length.Meters,
            Roughness.Meters,
            MinorLoss,
            water
        );
}

/// <summary>
/// Something whose loss was measured once: a housing head, a filter cartridge, a carbon block, a check valve.
/// </summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="Flow">Flow at which the loss was measured.</param>
/// <param name="Loss">Loss measured at that flow in water of 20 °C.</param>
/// <param name="Exponent">
/// Power n of the flow in the loss [-]: 1 for fine porous media (laminar), 2 for heads and valves (turbulent).
/// </param>
public sealed record MeasuredLoss(string Name, VolumeFlow Flow, Pressure Loss, double Exponent)
    : FlowElement(Name)
{
    private const double ViscosityAt20C_Pa_s = 1.0016e-3; // IAPWS R12-08 at 20 °C, 0.1 MPa

    internal override double Loss_Pa(double flow_m3_s, FlowingWater water)
    {
        double viscosity = double.Pow(water.Viscosity_Pa_s / ViscosityAt20C_Pa_s, 2.0 - Exponent);
        double ratio = flow_m3_s / Flow.CubicMetersPerSecond;
        return Loss.Pascals * viscosity * double.Pow(ratio, Exponent); // eq. hydraulics-7
    }
}

/// <summary>A bed of grains: resin or granular carbon.</summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="InnerDiameter">Inside diameter of the vessel.</param>
/// <param name="Depth">Depth of the settled bed.</param>
/// <param name="BeadDiameter">Diameter of the grains.</param>
/// <param name="VoidFraction">Void fraction [-].</param>
/// <param name="Sphericity">Sphericity of the grains [-], 1 for beads.</param>
public sealed record PackedBed(
    string Name,
    Length InnerDiameter,
    Length Depth,
    Length BeadDiameter,
    double VoidFraction,
    double Sphericity = 1.0
) : FlowElement(Name)
{
    /// <summary>Highest superficial velocity at which the bed is meant to run, if stated.</summary>
    public Speed? HighestVelocity { get; init; }

    /// <summary>Superficial velocity [m/s] at a flow [m³/s].</summary>
    internal double Velocity_m_s(double flow_m3_s) =>
        4.0 * flow_m3_s / (double.Pi * InnerDiameter.Meters * InnerDiameter.Meters);

    internal override double Loss_Pa(double flow_m3_s, FlowingWater water) =>
        Depth.Meters
        * BedFriction.Gradient_Pa_m(
            Velocity_m_s(flow_m3_s),
            BeadDiameter.Meters,
            VoidFraction,
            Sphericity,
            water
        );
}

/// <summary>The same things in parallel: the flow divides evenly among them.</summary>
/// <param name="Name">What the group is called in reports.</param>
/// <param name="Count">How many stand side by side.</param>
/// <param name="Each">One of them.</param>
public sealed record EvenSplit(string Name, int Count, FlowElement Each) : FlowElement(Name)
{
    internal override double Loss_Pa(double flow_m3_s, FlowingWater water) =>
        Each.Loss_Pa(flow_m3_s / Count, water);
}

/// <summary>Something that part of the flow goes past.</summary>
/// <param name="Name">What the two ways together are called in reports.</param>
/// <param name="Share">Share of the flow that goes past [-], 0 to below 1.</param>
/// <param name="Around">What is passed.</param>
public sealed record Bypassed(string Name, double Share, FlowElement Around) : FlowElement(Name)
{
    internal double Through_m3_s(double flow_m3_s) => (1.0 - Share) * flow_m3_s;

    internal override double Loss_Pa(double flow_m3_s, FlowingWater water) =>
        Around.Loss_Pa(Through_m3_s(flow_m3_s), water);
}

/// <summary>Things one after the other that count as one stage.</summary>
/// <param name="Name">What the row is called in reports.</param>
/// <param name="Members">What stands in it.</param>
public sealed record InRow(string Name, IReadOnlyList<FlowElement> Members) : FlowElement(Name)
{
    internal override double Loss_Pa(double flow_m3_s, FlowingWater water) =>
        Members.Sum(m => m.Loss_Pa(flow_m3_s, water));
}
