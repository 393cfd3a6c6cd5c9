namespace Rinsewright.Water;

/// <summary>
/// The two temperature functions of the Debye–Hückel law, from the dielectric constant and density of water
/// (key <c>truesdell1974</c>).
/// </summary>
public static class DebyeHuckel
{
    /// <summary>Limiting-law coefficient A of log10 γ = −A z² √I [kg^(1/2)/mol^(1/2)].</summary>
    /// <param name="temperature">Temperature [K].</param>
    public static double A(double temperature)
    {
        double et = WaterProperties.DielectricConstant(temperature) * temperature;
        double density = WaterProperties.Density(temperature) * 1e-3; // [g/cm³]
        return 1.824829e6 * Math.Sqrt(density) / (et * Math.Sqrt(et)); // eq. water-9
    }

    /// <summary>Ion-size coefficient B [kg^(1/2)/(mol^(1/2)·m)].</summary>
    /// <param name="temperature">Temperature [K].</param>
    public static double B(double temperature)
    {
        double et = WaterProperties.DielectricConstant(temperature) * temperature;
        double density = WaterProperties.Density(temperature) * 1e-3; // [g/cm³]
        return 50.29159e10 * Math.Sqrt(density / et); // eq. water-10
    }
}
