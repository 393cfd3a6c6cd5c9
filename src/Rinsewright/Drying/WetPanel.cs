// What it predicts: temperature and water film of a thin painted panel after a rinse, until the film is gone.
// Assumptions: panel and film at one temperature (Biot number h δ/k below 0.3); the wetted share of the panel keeps its size
// while the film thins (a pinned edge); vapour pressure of pure water (dissolved solids matter only in the last
// hundredth of the water); weather constant. Range: 0 to 60 °C, wind 0 to 7 m/s and by extrapolation to 10 m/s. Source: docs/models/drying.md.
//
// symbol  meaning                                              unit
// H       heat of panel and film above 0 °C, per panel area    J/m²
// m       water per panel area                                 kg/m²
// T       temperature of panel and film                        K
// Cp      heat capacity of the panel per area                  J/(m²·K)
// phi     wetted share of the panel                            -
// h       convective coefficient of the outer face             W/(m²·K)
// U       coefficient of the inner face                        W/(m²·K)
//
// State vector: H, m, then the heats that crossed the boundary since the start: sun, long-wave, convection, inner face, vapour.
using System.Runtime.InteropServices;
using Rinsewright.Numerics;

namespace Rinsewright.Drying;

/// <summary>How a run of a wet panel ended.</summary>
public enum DryingStatus
{
    /// <summary>The film is gone.</summary>
    Dry,

    /// <summary>The film cannot dry in this weather: the wet panel settles at or below the dew point.</summary>
    NeverDries,

    /// <summary>Still wet at the end of the time watched.</summary>
    StillWet,

    /// <summary>The integration failed; the run says nothing.</summary>
    Failed,
}

/// <summary>A wet panel in constant weather: one-node heat balance and water film. Equations drying-22 to drying-28.</summary>
[StructLayout(LayoutKind.Auto)]
internal readonly record struct WetPanel
{
    /// <summary>Number of entries of the state vector [-].</summary>
    public const int StateLength = 7;

    private const double StefanBoltzmann = 5.670374419e-8; // [W/(m²·K⁴)] CODATA 2018

    /// <summary>Specific heat of liquid water [J/(kg·K)], 0 to 60 °C within 0.3 %.</summary>
    internal const double WaterHeat = 4186;

    public required double AirKelvin { get; init; }

    public required double VaporPressurePascals { get; init; }

    public required double PressurePascals { get; init; }

    /// <summary>Convective coefficient of the outer face [W/(m²·K)].</summary>
    public required double HeatTransfer { get; init; }

    /// <summary>Convection and radiation of the inner face to air at <see cref="AirKelvin"/> [W/(m²·K)].</summary>
    public required double InnerHeatTransfer { get; init; }

    /// <summary>Sunlight absorbed [W/m²].</summary>
    public required double AbsorbedSun { get; init; }

    /// <summary>Long-wave emissivity of the panel [-]; 0 switches long-wave exchange off.</summary>
    public required double Emissivity { get; init; }

    /// <summary>Long-wave radiation coming in [W/m²], of which the panel takes its emissivity.</summary>
    public required double IncomingLongWave { get; init; }

    /// <summary>Heat capacity of the dry panel [J/(m²·K)].</summary>
    public required double PanelHeatCapacity { get; init; }

    /// <summary>Wetted share of the panel [-].</summary>
    public required double Coverage { get; init; }

    /// <summary>Convective coefficient of the outer face [W/(m²·K)] for a wind (Watmuff et al. 1977, key <c>watmuff1977</c>).</summary>
    /// <param name="windMetersPerSecond">Wind over the panel [m/s], measured from 0 to 7; a line beyond.</param>
    public static double WindHeatTransfer(double windMetersPerSecond) => 2.8 + (3.0 * windMetersPerSecond); // eq. drying-22

    /// <summary>Long-wave radiation on a panel [W/m²] from the sky it sees and from surroundings at air temperature.</summary>
    /// <param name="airKelvin">Temperature of the air [K].</param>
    /// <param name="skyView">Share of the sky that the panel sees [-].</param>
    /// <param name="skyEmissivity">Emissivity of the sky [-].</param>
    public static double LongWave(double airKelvin, double skyView, double skyEmissivity) =>
        ((skyView * skyEmissivity) + (1 - skyView)) * StefanBoltzmann * Math.Pow(airKelvin, 4); // eq. drying-23

    /// <summary>Temperature of panel and film [K].</summary>
    /// <param name="state">State vector, <see cref="StateLength"/> entries [-].</param>
    public double Temperature(ReadOnlySpan<double> state) =>
        PhysicalConstants.ZeroCelsius + (state[0] / (PanelHeatCapacity + (WaterHeat * state[1])));

    /// <summary>Rates of the state vector.</summary>
    /// <param name="state">State vector, <see cref="StateLength"/> entries [-].</param>
    /// <param name="rate">Rates, <see cref="StateLength"/> entries [-], per second.</param>
    public void Rates(ReadOnlySpan<double> state, Span<double> rate)
    {
        double kelvin = Temperature(state);
        double evaporation = Coverage * Evaporation(kelvin); // [kg/(m²·s)]
        double vaporHeat =
            (WaterHeat * (kelvin - PhysicalConstants.ZeroCelsius))
            + Psychrometrics.LatentHeatJoulesPerKilogram(kelvin); // [J/kg] eq. drying-24
        double longWave =
            Emissivity * (IncomingLongWave - (StefanBoltzmann * kelvin * kelvin * kelvin * kelvin)); // eq. drying-25
        double convection = HeatTransfer * (AirKelvin - kelvin); // eq. drying-26
        double inner = InnerHeatTransfer * (AirKelvin - kelvin);
        double vapor = -evaporation * vaporHeat;
        rate[0] = AbsorbedSun + longWave + convection + inner + vapor; // eq. drying-27
        rate[1] = -evaporation; // eq. drying-28
        rate[2] = AbsorbedSun;
        rate[3] = longWave;
        rate[4] = convection;
        rate[5] = inner;
        rate[6] = vapor;
    }

    /// <summary>Heat flowing into the wet panel [W/m²] that is not carried as the heat of liquid water.</summary>
    /// <param name="kelvin">Temperature of panel and film [K].</param>
    public double HeatGain(double kelvin) =>
        AbsorbedSun
        + (Emissivity * (IncomingLongWave - (StefanBoltzmann * Math.Pow(kelvin, 4))))
        + ((HeatTransfer + InnerHeatTransfer) * (AirKelvin - kelvin))
        - (Coverage * Evaporation(kelvin) * Psychrometrics.LatentHeatJoulesPerKilogram(kelvin));

    /// <summary>Temperature [K] at which the wet panel settles, as long as it is wet.</summary>
    public double WetSteadyKelvin()
    {
        WetPanel panel = this;
        return Bracketed.Root(panel.HeatGain, 233, 370, 1e-9);
    }

    /// <summary>Water leaving the wetted area [kg/(m²·s)].</summary>
    /// <param name="kelvin">Temperature of the water [K].</param>
    public double Evaporation(double kelvin) =>
        Psychrometrics.EvaporationKilogramsPerSquareMeterSecond(
            kelvin,
            AirKelvin,
            VaporPressurePascals,
            PressurePascals,
            HeatTransfer
        );
}
