namespace Rinsewright.Water;

/// <summary>A conductivity or pocket TDS meter: how it turns the conductivity of a water into the number it shows.</summary>
/// <param name="Compensation">How it refers conductivity to 25 °C.</param>
/// <param name="Factor">TDS factor [ppm per µS/cm]: about 0.5 for a meter set on sodium chloride, 0.64–0.7 on natural water; 1 shows µS/cm.</param>
/// <param name="Gain">Slope of its own error [-]; 1 for a true meter.</param>
/// <param name="Offset">Offset of its own error [µS/cm]; 0 for a true meter.</param>
/// <param name="Resolution">Least step of its display, in the unit it shows [ppm]; 0 for no rounding.</param>
public sealed record Meter(
    Compensation Compensation,
    double Factor,
    double Gain = 1,
    double Offset = 0,
    double Resolution = 1
)
{
    /// <summary>What the meter shows [ppm]; µS/cm when the factor is 1.</summary>
    /// <param name="conductivity">Conductivity of the water at its temperature [S/m].</param>
    /// <param name="temperature">Temperature of the water [K].</param>
    public double Reading(double conductivity, double temperature)
    {
        double compensated = Compensation.To25(conductivity, temperature) * 1e4; // [µS/cm]
        double shown = Math.Max(0, Gain * compensated + Offset) * Factor; // eq. water-33
        return Resolution > 0
            ? Math.Round(shown / Resolution, MidpointRounding.AwayFromZero) * Resolution
            : shown;
    }

    /// <summary>The compensated conductivity that a reading stands for, the meter's own error taken out [S/m].</summary>
    /// <param name="reading">What the meter shows [ppm]; µS/cm when the factor is 1.</param>
    public double Compensated(double reading) => (reading / Factor - Offset) / Gain * 1e-4;
}
