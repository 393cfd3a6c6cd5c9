namespace Rinsewright.Drying;

/// <summary>What stands between the panel and the sun.</summary>
public enum SunExposure
{
    /// <summary>Clear sky, sun on the panel.</summary>
    Full,

    /// <summary>Half of the sky clouded, sun on the panel on average.</summary>
    Partly,

    /// <summary>Sky wholly clouded.</summary>
    Overcast,

    /// <summary>Clear sky, but the panel in shade: only the light of the sky.</summary>
    Shade,

    /// <summary>No sunlight and no view of the sky: under a roof, indoors.</summary>
    None,
}

/// <summary>
/// Sunlight on a panel and the sky's long-wave emissivity above it. Clear sky after Haurwitz 1945 (key <c>haurwitz1945</c>),
/// cloud after Kasten and Czeplak 1980 (<c>kasten1980</c>), split into beam and diffuse after Erbs et al. 1982
/// (<c>erbs1982</c>), isotropic sky over a tilted panel after Liu and Jordan 1963 (<c>liu1963</c>); emissivity of the clear sky
/// after Berdahl and Martin 1984 (<c>berdahl1984</c>), of cloud after Unsworth and Monteith 1975 (<c>unsworth1975</c>).
/// Equations drying-16 to drying-21.
/// </summary>
public static class Sunlight
{
    /// <summary>Solar irradiance outside the atmosphere at 1 au [W/m²] (key <c>kopp2011</c>).</summary>
    public const double SolarConstantWattsPerSquareMeter = 1361;

    /// <summary>Share of light that the ground beside the vehicle sends back [-] (common value for pavement, no source).</summary>
    public const double GroundReflectance = 0.2;

    private const double Degree = Math.PI / 180;

    /// <summary>Cloud cover [-], 0 clear to 1 overcast, that stands for an exposure.</summary>
    /// <param name="exposure">What stands between the panel and the sun.</param>
    public static double CloudCover(SunExposure exposure) =>
        exposure switch
        {
            SunExposure.Full or SunExposure.Shade => 0,
            SunExposure.Partly => 0.5,
            SunExposure.Overcast or SunExposure.None => 1,
            _ => throw new ArgumentOutOfRangeException(nameof(exposure), exposure, "Not an exposure."),
        };

    /// <summary>Global irradiance of a clear sky on level ground [W/m²].</summary>
    /// <param name="zenithDegrees">Angle between the sun and the vertical [°].</param>
    public static double ClearSkyWattsPerSquareMeter(double zenithDegrees)
    {
        double cosine = Math.Cos(zenithDegrees * Degree);
        return cosine <= 0 ? 0 : 1098 * cosine * Math.Exp(-0.059 / cosine); // eq. drying-16
    }

    /// <summary>Share of the clear sky's irradiance that a cloud cover lets through [-].</summary>
    /// <param name="cloudCover">Cloud cover [-], 0 to 1.</param>
    public static double CloudTransmission(double cloudCover) => 1 - (0.75 * Math.Pow(cloudCover, 3.4)); // eq. drying-17

    /// <summary>Share of the global irradiance that is diffuse [-].</summary>
    /// <param name="clearness">Global irradiance over that outside the atmosphere [-].</param>
    public static double DiffuseShare(double clearness) =>
        clearness switch
        {
            <= 0.22 => 1 - (0.09 * clearness),
            <= 0.80 => 0.9511
                + (
                    clearness
                    * (-0.1604 + (clearness * (4.388 + (clearness * (-16.638 + (clearness * 12.336))))))
                ),
            _ => 0.165,
        }; // eq. drying-18

    /// <summary>Sunlight falling on a panel [W/m²]: beam, sky and what the ground sends back.</summary>
    /// <param name="sun">Where the sun stands.</param>
    /// <param name="exposure">What stands between the panel and the sun.</param>
    /// <param name="tiltDegrees">Tilt of the panel [°]: 0 roof, 90 door.</param>
    /// <param name="facingDegrees">Direction that the panel faces, clockwise from north [°].</param>
    public static double OnPanelWattsPerSquareMeter(
        SolarPosition sun,
        SunExposure exposure,
        double tiltDegrees,
        double facingDegrees
    )
    {
        double cosine = Math.Cos(sun.ZenithDegrees * Degree);
        if (exposure == SunExposure.None || cosine <= 0)
        {
            return 0;
        }

        double global =
            ClearSkyWattsPerSquareMeter(sun.ZenithDegrees) * CloudTransmission(CloudCover(exposure));
        double outside =
            SolarConstantWattsPerSquareMeter
            * cosine
            / (sun.DistanceAstronomicalUnits * sun.DistanceAstronomicalUnits);
        double diffuse = global * DiffuseShare(global / outside);
        double tilt = tiltDegrees * Degree;
        double incidence =
            (cosine * Math.Cos(tilt))
            + (
                Math.Sin(sun.ZenithDegrees * Degree)
                * Math.Sin(tilt)
                * Math.Cos((sun.AzimuthDegrees - facingDegrees) * Degree)
            );
        double sky = diffuse * SkyView(tiltDegrees);
        if (exposure == SunExposure.Shade)
        {
            return sky;
        }

        double beam = (global - diffuse) / cosine;
        double ground = GroundReflectance * global * (1 - SkyView(tiltDegrees));
        return (beam * Math.Max(0, incidence)) + sky + ground; // eq. drying-19
    }

    /// <summary>Share of the sky that a tilted panel sees [-].</summary>
    /// <param name="tiltDegrees">Tilt of the panel [°].</param>
    public static double SkyView(double tiltDegrees) => 0.5 * (1 + Math.Cos(tiltDegrees * Degree)); // eq. drying-20

    /// <summary>Long-wave emissivity of the sky [-].</summary>
    /// <param name="dewPointKelvin">Dew point of the air [K].</param>
    /// <param name="cloudCover">Cloud cover [-], 0 to 1.</param>
    public static double SkyEmissivity(double dewPointKelvin, double cloudCover)
    {
        double dew = (dewPointKelvin - PhysicalConstants.ZeroCelsius) / 100;
        double clear = 0.711 + (dew * (0.56 + (0.73 * dew)));
        return clear + (0.84 * cloudCover * (1 - clear)); // eq. drying-21
    }
}
