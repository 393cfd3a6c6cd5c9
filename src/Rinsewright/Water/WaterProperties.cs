namespace Rinsewright.Water;

/// <summary>
/// Properties of pure liquid water at 0.1 MPa: density, viscosity and static dielectric constant as functions of
/// temperature. Source: IAPWS SR6-08(2011), valid 253.15 K to 383.15 K (key <c>iapws-sr6-08</c>); used here from
/// 273.15 K to 318.15 K. See docs/models/water.md.
/// </summary>
public static class WaterProperties
{
    // SR6-08, tables 1 and 2: coefficients of the specific volume, with alpha = 10 K/(593 K - T), beta = 10 K/(T - 232 K).
    private const double SpecificGasConstant = 461.51805; // [J/(kg·K)]
    private const double ReferencePressure = 1e5; // [Pa]
    private const double A5 = 1.93763157e-2;

    /// <summary>Molar mass of water [kg/mol] (key <c>iupac2021</c>).</summary>
    public const double MolarMass = 0.018015268;

    private static readonly double[] VolumeA =
    [
        6.74458446e3,
        -2.22521604e5,
        1.00231247e8,
        -1.63552118e9,
        8.32299658e9,
    ];

    private static readonly double[] VolumeB =
    [
        5.78545292e-3,
        -1.53195665e-2,
        3.11337859e-2,
        -4.23546241e-2,
        3.38713507e-2,
        -1.19946761e-2,
    ];

    /// <summary>Density of liquid water [kg/m³].</summary>
    /// <param name="temperature">Temperature [K].</param>
    public static double Density(double temperature)
    {
        double alpha = 10.0 / (593.0 - temperature);
        double beta = 10.0 / (temperature - 232.0);
        double alpha4 = alpha * alpha * alpha * alpha;
        double hot =
            alpha4
            * (
                VolumeA[0]
                + alpha
                    * (VolumeA[1] + alpha * alpha * (VolumeA[2] + alpha * (VolumeA[3] + alpha * VolumeA[4])))
            );
        double cold = 0;
        for (int i = VolumeB.Length - 1; i >= 0; i--)
        {
            cold = beta * (VolumeB[i] + cold);
        }

        double volume = SpecificGasConstant * 10.0 / ReferencePressure * (A5 + hot + cold); // eq. water-1
        return 1 / volume;
    }

    /// <summary>Dynamic viscosity of liquid water [Pa·s].</summary>
    /// <param name="temperature">Temperature [K].</param>
    public static double Viscosity(double temperature)
    {
        double t = temperature / 300.0;
        return 1e-6
            * (
                280.68 * Math.Pow(t, -1.9)
                + 511.45 * Math.Pow(t, -7.7)
                + 61.131 * Math.Pow(t, -19.6)
                + 0.45903 * Math.Pow(t, -40)
            ); // eq. water-2
    }

    /// <summary>Static dielectric constant of liquid water [-].</summary>
    /// <param name="temperature">Temperature [K].</param>
    public static double DielectricConstant(double temperature)
    {
        double t = temperature / 300.0;
        return -43.7527 * Math.Pow(t, -0.05)
            + 299.504 * Math.Pow(t, -1.47)
            - 399.364 * Math.Pow(t, -2.11)
            + 221.327 * Math.Pow(t, -2.31); // eq. water-3
    }

    /// <summary>
    /// Factor by which a diffusion coefficient at 25 °C grows at another temperature [-]: (T/298.15 K)·(η(25 °C)/η(T)),
    /// the Stokes–Einstein rule.
    /// </summary>
    /// <param name="temperature">Temperature [K].</param>
    public static double DiffusionFactor(double temperature) =>
        temperature / Conductance.ReferenceTemperature * (Viscosity25 / Viscosity(temperature)); // eq. water-4

    private static readonly double Viscosity25 = Viscosity(Conductance.ReferenceTemperature);

    /// <summary>log10 of the ionisation constant Kw of water at 0.1 MPa [-], molal activities.</summary>
    /// <remarks>IAPWS R11-07(2019) (key <c>iapws-r11-07</c>).</remarks>
    /// <param name="temperature">Temperature [K].</param>
    public static double LogIonisation(double temperature) =>
        LogIonisation(temperature, Density(temperature));

    /// <summary>log10 Kw at a stated density [-].</summary>
    /// <param name="temperature">Temperature [K].</param>
    /// <param name="density">Density of water [kg/m³].</param>
    internal static double LogIonisation(double temperature, double density)
    {
        double rho = density / 1000.0; // [g/cm³]
        double t = temperature;
        double z = rho * Math.Exp(-0.864671 + 8659.19 / t - 22786.2 / (t * t) * Math.Pow(rho, 2.0 / 3.0));
        double gas = 0.61415 + 48251.33 / t - 67707.93 / (t * t) + 10102100.0 / (t * t * t);
        double liquid =
            -12 * (Math.Log10(1 + z) - z / (z + 1) * rho * (0.642044 - 56.8534 / t - 0.375754 * rho));
        return -(liquid + gas + 2 * Math.Log10(MolarMass)); // eq. water-5
    }
}
