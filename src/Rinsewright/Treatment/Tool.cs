using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>What the water leaves by, and the flow it lets through at the pressure that reaches it.</summary>
/// <param name="Name">What it is called in reports.</param>
public abstract record Tool(string Name);

/// <summary>A nozzle, gun, foam lance or open end: flow rises with the square root of the pressure.</summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="RatedFlow">Flow at the rated pressure.</param>
/// <param name="RatedPressure">Pressure at its inlet, above the air, at which it passes the rated flow.</param>
public sealed record Nozzle(string Name, VolumeFlow RatedFlow, Pressure RatedPressure) : Tool(Name)
{
    /// <summary>
    /// A nozzle known by its bore: Q = C A √(2 Δp/ρ), with ρ = 998.2 kg/m³ (20 °C).
    /// </summary>
    /// <param name="name">What it is called in reports.</param>
    /// <param name="bore">Diameter of the opening.</param>
    /// <param name="dischargeCoefficient">
    /// Discharge coefficient C [-]: about 0.61 for a sharp edge (published: 0.60–0.63), 0.95–0.99 for a smooth cone
    /// (from memory of hydraulics handbooks).
    /// </param>
    public static Nozzle FromBore(string name, Length bore, double dischargeCoefficient)
    {
        const double Density_kg_m3 = 998.2;
        const double Reference_Pa = 100e3;
        double area_m2 = 0.25 * double.Pi * bore.Meters * bore.Meters;
        double flow_m3_s = dischargeCoefficient * area_m2 * double.Sqrt(2.0 * Reference_Pa / Density_kg_m3); // eq. hydraulics-8
        return new Nozzle(
            name,
            VolumeFlow.FromCubicMetersPerSecond(flow_m3_s),
            Pressure.FromPascals(Reference_Pa)
        );
    }

    /// <summary>Pressure it needs at its inlet [Pa] to pass a flow [m³/s].</summary>
    internal double Need_Pa(double flow_m3_s)
    {
        double ratio = flow_m3_s / RatedFlow.CubicMetersPerSecond;
        return RatedPressure.Pascals * ratio * ratio; // eq. hydraulics-9
    }
}

/// <summary>
/// A pump-driven tool: it takes the flow its pump displaces as long as its inlet stays above a least pressure, and
/// no more than the line gives below that.
/// </summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="Demand">Flow that its pump displaces.</param>
/// <param name="LeastInletPressure">Least pressure that its pump wants at its inlet.</param>
public sealed record PressureWasher(string Name, VolumeFlow Demand, Pressure LeastInletPressure) : Tool(Name);
