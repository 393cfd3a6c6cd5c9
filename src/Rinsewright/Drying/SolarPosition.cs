using System.Runtime.InteropServices;

namespace Rinsewright.Drying;

/// <summary>
/// Where the sun stands: the low-precision formulas of the Astronomical Almanac as given by Michalsky 1988
/// (key <c>michalsky1988</c>), within 0.01° from 1950 to 2050, without refraction. Equations drying-12 to drying-15.
/// </summary>
/// <param name="ZenithDegrees">Angle between the sun and the vertical [°].</param>
/// <param name="AzimuthDegrees">Direction of the sun, clockwise from north [°].</param>
/// <param name="DistanceAstronomicalUnits">Distance between earth and sun [au].</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct SolarPosition(
    double ZenithDegrees,
    double AzimuthDegrees,
    double DistanceAstronomicalUnits
)
{
    private const double Degree = Math.PI / 180;

    private static readonly DateTimeOffset Epoch = new(2000, 1, 1, 12, 0, 0, TimeSpan.Zero);

    /// <summary>Position at an instant and place.</summary>
    /// <param name="instant">The instant.</param>
    /// <param name="latitudeDegrees">Latitude [°], north positive, −90 to 90.</param>
    /// <param name="longitudeDegrees">Longitude [°], east positive, −180 to 180.</param>
    public static SolarPosition At(DateTimeOffset instant, double latitudeDegrees, double longitudeDegrees)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(Math.Abs(latitudeDegrees), 90);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(Math.Abs(longitudeDegrees), 180);
        double n = (instant - Epoch).TotalDays; // [d]
        double hour = instant.UtcDateTime.TimeOfDay.TotalHours; // [h]
        double g = (357.528 + (0.9856003 * n)) * Degree; // mean anomaly
        double longitude =
            (280.460 + (0.9856474 * n) + (1.915 * Math.Sin(g)) + (0.020 * Math.Sin(2 * g))) * Degree; // eq. drying-12
        double obliquity = (23.439 - (4e-7 * n)) * Degree;
        double declination = Math.Asin(Math.Sin(obliquity) * Math.Sin(longitude)); // eq. drying-13
        double rightAscension = Math.Atan2(Math.Cos(obliquity) * Math.Sin(longitude), Math.Cos(longitude));
        double siderealHours = 6.697375 + (0.0657098242 * n) + hour + (longitudeDegrees / 15);
        double hourAngle = (siderealHours * 15 * Degree) - rightAscension; // eq. drying-14
        double latitude = latitudeDegrees * Degree;
        double cosine =
            (Math.Sin(latitude) * Math.Sin(declination))
            + (Math.Cos(latitude) * Math.Cos(declination) * Math.Cos(hourAngle)); // eq. drying-15
        double azimuth = Math.Atan2(
            -Math.Cos(declination) * Math.Sin(hourAngle),
            (Math.Sin(declination) * Math.Cos(latitude))
                - (Math.Cos(declination) * Math.Sin(latitude) * Math.Cos(hourAngle))
        );
        double distance = 1.00014 - (0.01671 * Math.Cos(g)) - (0.00014 * Math.Cos(2 * g));
        return new SolarPosition(
            Math.Acos(Math.Clamp(cosine, -1, 1)) / Degree,
            ((azimuth / Degree) + 360) % 360,
            distance
        );
    }
}
