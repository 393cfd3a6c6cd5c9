using System.Runtime.InteropServices;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>What hydraulics needs to know of the water.</summary>
/// <param name="Density_kg_m3">Density ρ [kg/m³].</param>
/// <param name="Viscosity_Pa_s">Dynamic viscosity μ [Pa·s].</param>
[StructLayout(LayoutKind.Auto)]
internal readonly record struct FlowingWater(double Density_kg_m3, double Viscosity_Pa_s)
{
    /// <summary>Pure water at a temperature; the salts of a tap water change neither by more than 0.2 %.</summary>
    public static FlowingWater At(Temperature temperature) =>
        new(WaterProperties.Density(temperature.Kelvins), WaterProperties.Viscosity(temperature.Kelvins));
}
