using Rinsewright.Quantities;

namespace Rinsewright.Drying;

/// <summary>Weather on a panel, constant while it dries.</summary>
/// <param name="Air">Temperature of the air, −5 to 55 °C.</param>
/// <param name="RelativeHumidityPercent">Relative humidity [%], 1 to 100.</param>
/// <param name="Wind">Wind over the panel, up to 10 m/s.</param>
/// <param name="Exposure">What stands between the panel and the sun.</param>
/// <param name="Sun">Where the sun stands.</param>
/// <param name="Altitude">Altitude above the sea, up to 5 000 m.</param>
public sealed record DryingWeather(
    Temperature Air,
    double RelativeHumidityPercent,
    Speed Wind,
    SunExposure Exposure,
    SolarPosition Sun,
    Length Altitude
)
{
    /// <summary>The sun of a summer noon at 45° latitude: 60° above the horizon, in the south (our choice).</summary>
    public static SolarPosition SummerNoon { get; } = new(30, 180, 1);

    /// <summary>Vapour pressure in the air [Pa].</summary>
    public double VaporPressurePascals =>
        RelativeHumidityPercent / 100 * Psychrometrics.SaturationPressurePascals(Air.Kelvins);

    /// <summary>Dew point of the air.</summary>
    public Temperature DewPoint =>
        Temperature.FromKelvins(Psychrometrics.DewPointKelvin(VaporPressurePascals));

    /// <summary>Wet bulb of the air.</summary>
    public Temperature WetBulb =>
        Temperature.FromKelvins(
            Psychrometrics.WetBulbKelvin(
                Air.Kelvins,
                VaporPressurePascals,
                Psychrometrics.StandardPressureAt(Altitude.Meters)
            )
        );
}

/// <summary>A panel as the rinse leaves it, and the weather on it.</summary>
/// <param name="Weather">Weather, constant while the panel dries.</param>
/// <param name="Paint">Its colour.</param>
/// <param name="Material">What it is made of.</param>
/// <param name="Film">How water stays on it.</param>
/// <param name="Water">Temperature of the rinse water, which the panel takes on, 0 to 60 °C.</param>
/// <param name="TiltDegrees">Tilt [°]: 0 roof or bonnet, 90 door. A tilted panel faces the sun.</param>
public sealed record RinsedPanel(
    DryingWeather Weather,
    PaintColor Paint,
    PanelMaterial Material,
    WaterFilm Film,
    Temperature Water,
    double TiltDegrees
)
{
    private const double InnerHeatTransfer = 3; // [W/(m²·K)]
    private const double Emissivity = 0.95;

    /// <summary>Sunlight falling on the panel [W/m²].</summary>
    public double SunlightWattsPerSquareMeter =>
        Sunlight.OnPanelWattsPerSquareMeter(
            Weather.Sun,
            Weather.Exposure,
            TiltDegrees,
            Weather.Sun.AzimuthDegrees
        );

    /// <summary>The drying of the panel from the end of the rinse.</summary>
    /// <exception cref="ArgumentOutOfRangeException">A value lies outside the model's range.</exception>
    public DryingRun Dry() => Dry(Departure.None, 1e-7);

    /// <summary>The drying of a panel that departs from what was stated.</summary>
    /// <param name="departure">How it departs.</param>
    /// <param name="tolerance">Error allowed in a step [-].</param>
    internal DryingRun Dry(in Departure departure, double tolerance)
    {
        Check(Weather.Air.DegreesCelsius, -5, 55, "air temperature [°C]");
        Check(Weather.RelativeHumidityPercent, 1, 100, "relative humidity [%]");
        Check(Weather.Wind.MetersPerSecond, 0, 10, "wind [m/s]");
        Check(Weather.Altitude.Meters, 0, 5000, "altitude [m]");
        Check(Water.DegreesCelsius, 0, 60, "water temperature [°C]");
        Check(TiltDegrees, 0, 90, "tilt [°]");
        Check(Film.Thickness.Millimeters, 0.001, 5, "film thickness [mm]");
        Check(Film.Coverage, 0.01, 1, "wetted share [-]");
        double air = Weather.Air.Kelvins + departure.AirOffset;
        double humidity = Math.Clamp(Weather.RelativeHumidityPercent + departure.HumidityOffset, 1, 100);
        double vapor = humidity / 100 * Psychrometrics.SaturationPressurePascals(air);
        bool roofed = Weather.Exposure == SunExposure.None;
        var panel = new WetPanel
        {
            AirKelvin = air,
            VaporPressurePascals = vapor,
            PressurePascals = Psychrometrics.StandardPressureAt(Weather.Altitude.Meters),
            HeatTransfer =
                WetPanel.WindHeatTransfer(Weather.Wind.MetersPerSecond * departure.WindFactor)
                * departure.HeatTransferFactor,
            InnerHeatTransfer = InnerHeatTransfer * departure.InnerFactor,
            AbsorbedSun =
                SunlightWattsPerSquareMeter
                * departure.SunFactor
                * Math.Clamp(Paint.SolarAbsorptance + (departure.Absorptance * Paint.HalfWidth), 0, 1),
            Emissivity = Emissivity,
            IncomingLongWave = WetPanel.LongWave(
                air,
                roofed ? 0 : Sunlight.SkyView(TiltDegrees),
                Sunlight.SkyEmissivity(
                    Psychrometrics.DewPointKelvin(vapor),
                    Sunlight.CloudCover(Weather.Exposure)
                )
            ),
            PanelHeatCapacity =
                Material.HeatCapacityJoulesPerSquareMeterKelvin
                * (1 + (departure.HeatCapacity * Material.RelativeHalfWidth)),
            Coverage = Film.Coverage,
        };
        double water =
            Film.KilogramsPerSquareMeter(Water.Kelvins) * Math.Pow(Film.ThicknessFactor, departure.Thickness);
        return DryingRun.Integrate(panel, Water.Kelvins, water, tolerance);
    }

    private static void Check(double value, double least, double most, string what)
    {
        if (!(value >= least && value <= most))
        {
            throw new ArgumentOutOfRangeException(
                what,
                value,
                string.Create(
                    System.Globalization.CultureInfo.InvariantCulture,
                    $"The {what} must be from {least} to {most}."
                )
            );
        }
    }
}
