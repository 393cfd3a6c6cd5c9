namespace Rinsewright.Water;

/// <summary>The factors of ISO 7888 that refer the conductivity of natural waters to 25 °C (key <c>iso7888</c>).</summary>
internal static class Iso7888
{
    // Table of the standard at whole degrees from 0 to 35 °C [-].
    private static readonly double[] Factors =
    [
        1.918,
        1.857,
        1.800,
        1.745,
        1.693,
        1.643,
        1.596,
        1.551,
        1.508,
        1.467,
        1.428,
        1.390,
        1.354,
        1.320,
        1.287,
        1.256,
        1.225,
        1.196,
        1.168,
        1.141,
        1.116,
        1.091,
        1.067,
        1.044,
        1.021,
        1.000,
        0.979,
        0.959,
        0.940,
        0.921,
        0.903,
        0.886,
        0.869,
        0.853,
        0.837,
        0.822,
    ];

    /// <summary>Factor from the conductivity at a temperature to that at 25 °C [-]; the table's end value beyond its ends.</summary>
    /// <param name="temperature">Temperature [K].</param>
    public static double Factor(double temperature)
    {
        double celsius = Math.Clamp(temperature - PhysicalConstants.ZeroCelsius, 0, Factors.Length - 1);
        int below = Math.Min((int)celsius, Factors.Length - 2);
        return Factors[below] + (celsius - below) * (Factors[below + 1] - Factors[below]);
    }
}
