using System.Runtime.InteropServices;

namespace Rinsewright.Drying;

/// <summary>
/// How a real panel and its weather may depart from what was stated. The widths are ours (docs/models/drying.md, table of
/// uncertainties); values in between are taken evenly.
/// </summary>
[StructLayout(LayoutKind.Auto)]
internal readonly record struct Departure
{
    private const int Dimensions = 9;

    /// <summary>Nothing departs.</summary>
    public static Departure None { get; } =
        new()
        {
            WindFactor = 1,
            HeatTransferFactor = 1,
            InnerFactor = 1,
            SunFactor = 1,
        };

    /// <summary>Added to the temperature of the air [K].</summary>
    public double AirOffset { get; private init; }

    /// <summary>Added to the relative humidity [%].</summary>
    public double HumidityOffset { get; private init; }

    public double WindFactor { get; private init; }

    public double HeatTransferFactor { get; private init; }

    public double InnerFactor { get; private init; }

    public double SunFactor { get; private init; }

    /// <summary>In half-widths of the paint [-].</summary>
    public double Absorptance { get; private init; }

    /// <summary>In half-widths of the material [-].</summary>
    public double HeatCapacity { get; private init; }

    /// <summary>Power of the film's thickness factor [-].</summary>
    public double Thickness { get; private init; }

    /// <summary>
    /// The n-th of an even, reproducible sequence over all departures: the additive recurrence with the powers of the root
    /// of x^(d+1) = x + 1 (key <c>roberts2018</c>).
    /// </summary>
    /// <param name="n">Number in the sequence [-], from 0.</param>
    public static Departure Nth(int n)
    {
        Span<double> u = stackalloc double[Dimensions];
        double root = 1.07;
        for (int i = 0; i < 60; i++)
        {
            root = Math.Pow(1 + root, 1.0 / (Dimensions + 1)); // eq. drying-31
        }

        double power = 1;
        for (int d = 0; d < Dimensions; d++)
        {
            power /= root;
            double position = 0.5 + ((n + 1) * power);
            u[d] = (2 * (position - Math.Floor(position))) - 1;
        }

        return new()
        {
            AirOffset = 1.0 * u[0],
            HumidityOffset = 5 * u[1],
            WindFactor = Math.Pow(1.5, u[2]),
            HeatTransferFactor = Math.Pow(1.3, u[3]),
            InnerFactor = Math.Pow(2, u[4]),
            SunFactor = 1 + (0.1 * u[5]),
            Absorptance = u[6],
            HeatCapacity = u[7],
            Thickness = u[8],
        };
    }
}
