using Rinsewright.Numerics;
using Rinsewright.Water;

namespace Rinsewright.Drying;

/// <summary>
/// Moist air and water vapour over liquid water: saturation, dew point, wet bulb, and what carries heat and vapour away from a
/// wet panel. Ideal mixture of dry air and vapour (the enhancement of the saturation pressure by air, 0.5 % at sea level, is
/// left out). Equations drying-1 to drying-11 and drying-30 of docs/models/drying.md.
/// </summary>
public static class Psychrometrics
{
    /// <summary>Ratio of the molar masses of water and dry air [-] (key <c>ashrae2017</c>).</summary>
    public const double MolarMassRatio = 0.621945;

    /// <summary>Pressure of the standard atmosphere at sea level [Pa].</summary>
    public const double StandardPressurePascals = 101325;

    private const double WaterMolarMass = WaterProperties.MolarMass; // [kg/mol]
    private const double DryAirMolarMass = WaterMolarMass / MolarMassRatio; // [kg/mol]

    /// <summary>
    /// Saturation pressure of vapour over liquid water [Pa] (Hyland and Wexler 1983, key <c>hyland1983</c>, as printed in
    /// <c>ashrae2017</c>, chapter 1, equation 6; 0 to 200 °C, within 300 ppm of its source).
    /// </summary>
    /// <param name="kelvin">Temperature [K].</param>
    public static double SaturationPressurePascals(double kelvin) =>
        Math.Exp(
            (-5.8002206e3 / kelvin)
                + 1.3914993
                + (kelvin * (-4.8640239e-2 + (kelvin * (4.1764768e-5 + (kelvin * -1.4452093e-8)))))
                + (6.5459673 * Math.Log(kelvin))
        ); // eq. drying-1

    /// <summary>Temperature [K] at which air of this vapour pressure is saturated.</summary>
    /// <param name="vaporPressurePascals">Vapour pressure [Pa], that of a dew point from −60 to 150 °C.</param>
    public static double DewPointKelvin(double vaporPressurePascals)
    {
        double target = Math.Log(vaporPressurePascals);
        return Bracketed.Root(
            kelvin => Math.Log(SaturationPressurePascals(kelvin)) - target,
            213,
            423,
            1e-10
        ); // eq. drying-3
    }

    /// <summary>Mass of vapour per mass of dry air [kg/kg] (key <c>ashrae2017</c>, chapter 1, equation 20).</summary>
    /// <param name="vaporPressurePascals">Vapour pressure [Pa].</param>
    /// <param name="pressurePascals">Pressure of the moist air [Pa].</param>
    public static double HumidityRatio(double vaporPressurePascals, double pressurePascals) =>
        MolarMassRatio * vaporPressurePascals / (pressurePascals - vaporPressurePascals); // eq. drying-4

    /// <summary>
    /// Thermodynamic wet-bulb temperature [K], that of adiabatic saturation (key <c>ashrae2017</c>, chapter 1, equation 33).
    /// </summary>
    /// <param name="airKelvin">Temperature of the air [K].</param>
    /// <param name="vaporPressurePascals">Vapour pressure in the air [Pa], at most saturation.</param>
    /// <param name="pressurePascals">Pressure of the moist air [Pa].</param>
    public static double WetBulbKelvin(double airKelvin, double vaporPressurePascals, double pressurePascals)
    {
        double air = airKelvin - PhysicalConstants.ZeroCelsius;
        double ratio = HumidityRatio(vaporPressurePascals, pressurePascals);
        return Bracketed.Root(
            kelvin =>
            {
                double bulb = kelvin - PhysicalConstants.ZeroCelsius;
                double saturated = HumidityRatio(SaturationPressurePascals(kelvin), pressurePascals);
                return ((2501 - (2.326 * bulb)) * saturated)
                    - (1.006 * (air - bulb))
                    - (ratio * (2501 + (1.86 * air) - (4.186 * bulb))); // eq. drying-5
            },
            213,
            airKelvin,
            1e-10
        );
    }

    /// <summary>Pressure of the standard atmosphere [Pa] (key <c>ashrae2017</c>, chapter 1, equation 3), below 10 km.</summary>
    /// <param name="altitudeMeters">Altitude above the sea [m].</param>
    public static double StandardPressureAt(double altitudeMeters) =>
        StandardPressurePascals * Math.Pow(1 - (2.25577e-5 * altitudeMeters), 5.2559); // eq. drying-30

    /// <summary>Latent heat of evaporation [J/kg] (Harrison 1963, key <c>allen1998</c>, annex 3), 0 to 60 °C.</summary>
    /// <param name="kelvin">Temperature of the water [K].</param>
    public static double LatentHeatJoulesPerKilogram(double kelvin) =>
        2.501e6 - (2361 * (kelvin - PhysicalConstants.ZeroCelsius)); // eq. drying-6

    /// <summary>Density of moist air [kg/m³], an ideal mixture.</summary>
    /// <param name="kelvin">Temperature [K].</param>
    /// <param name="vaporPressurePascals">Vapour pressure [Pa].</param>
    /// <param name="pressurePascals">Pressure of the moist air [Pa].</param>
    public static double AirDensityKilogramsPerCubicMeter(
        double kelvin,
        double vaporPressurePascals,
        double pressurePascals
    ) =>
        (
            (DryAirMolarMass * (pressurePascals - vaporPressurePascals))
            + (WaterMolarMass * vaporPressurePascals)
        ) / (PhysicalConstants.GasConstant * kelvin); // eq. drying-7

    /// <summary>
    /// Lewis number of water vapour in air [-]: thermal diffusivity over diffusivity. Conductivity of air from the US
    /// Standard Atmosphere 1976 (key <c>ussa1976</c>, equation 53), diffusivity from Massman 1998 (key <c>massman1998</c>).
    /// </summary>
    /// <param name="kelvin">Temperature of the boundary layer [K].</param>
    /// <param name="vaporPressurePascals">Vapour pressure in it [Pa].</param>
    /// <param name="pressurePascals">Pressure of the moist air [Pa].</param>
    public static double LewisNumber(double kelvin, double vaporPressurePascals, double pressurePascals)
    {
        double conductivity =
            2.64638e-3 * kelvin * Math.Sqrt(kelvin) / (kelvin + (245.4 * Math.Pow(10, -12 / kelvin)));
        double diffusivity =
            2.178e-5
            * Math.Pow(kelvin / PhysicalConstants.ZeroCelsius, 1.81)
            * (StandardPressurePascals / pressurePascals);
        double volumetricHeat = VolumetricHeatJoulesPerCubicMeterKelvin(
            kelvin,
            vaporPressurePascals,
            pressurePascals
        );
        return conductivity / (volumetricHeat * diffusivity); // eq. drying-8
    }

    /// <summary>Heat capacity of moist air per volume [J/(m³·K)] at constant pressure.</summary>
    /// <param name="kelvin">Temperature [K].</param>
    /// <param name="vaporPressurePascals">Vapour pressure [Pa].</param>
    /// <param name="pressurePascals">Pressure of the moist air [Pa].</param>
    internal static double VolumetricHeatJoulesPerCubicMeterKelvin(
        double kelvin,
        double vaporPressurePascals,
        double pressurePascals
    )
    {
        double ratio = HumidityRatio(vaporPressurePascals, pressurePascals);
        double specificHeat = (1006 + (1860 * ratio)) / (1 + ratio);
        return AirDensityKilogramsPerCubicMeter(kelvin, vaporPressurePascals, pressurePascals) * specificHeat; // eq. drying-9
    }

    /// <summary>
    /// Mass of vapour leaving a wet surface [kg/(m²·s)], negative where dew forms: the heat transfer coefficient carried over
    /// by the Chilton–Colburn analogy (Lewis number to the power 2/3), with Stefan's flow of the vapour itself
    /// (key <c>bird2002</c>, chapter 22).
    /// </summary>
    /// <param name="surfaceKelvin">Temperature of the water surface [K].</param>
    /// <param name="airKelvin">Temperature of the air [K].</param>
    /// <param name="vaporPressurePascals">Vapour pressure in the air [Pa].</param>
    /// <param name="pressurePascals">Pressure of the moist air [Pa].</param>
    /// <param name="heatTransfer">Convective heat transfer coefficient [W/(m²·K)].</param>
    public static double EvaporationKilogramsPerSquareMeterSecond(
        double surfaceKelvin,
        double airKelvin,
        double vaporPressurePascals,
        double pressurePascals,
        double heatTransfer
    )
    {
        double layer = 0.5 * (surfaceKelvin + airKelvin);
        double surfacePressure = SaturationPressurePascals(surfaceKelvin);
        double meanVapor = 0.5 * (surfacePressure + vaporPressurePascals);
        double lewis = LewisNumber(layer, meanVapor, pressurePascals);
        double massTransfer =
            heatTransfer
            / (
                VolumetricHeatJoulesPerCubicMeterKelvin(layer, meanVapor, pressurePascals)
                * Math.Cbrt(lewis * lewis)
            ); // [m/s] eq. drying-10
        double stefan = Math.Log(
            (pressurePascals - vaporPressurePascals) / (pressurePascals - surfacePressure)
        );
        return massTransfer
            * pressurePascals
            * WaterMolarMass
            / (PhysicalConstants.GasConstant * layer)
            * stefan; // eq. drying-11
    }
}
