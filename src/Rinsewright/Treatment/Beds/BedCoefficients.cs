using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// Everything that the equations of a bed need as plain numbers, for one bed, feed strength, flow and temperature.
/// </summary>
/// <remarks>
/// An ion may gain a proton (HCO3- → CO2) or lose one (HCO3- → CO3-2); over all its forms its total is the exchanged
/// form times φ = 1 + H/Kp + Kd/H. Strong ions have φ = 1.
/// </remarks>
internal sealed class BedCoefficients
{
    /// <summary>Slices of a bed at equilibrium.</summary>
    public const int EquilibriumSlices = 200;

    private BedCoefficients(int ions, int resins)
    {
        Charge = new double[ions];
        ProtonGain = new double[ions];
        ProtonLoss = new double[ions];
        Weak = new bool[ions];
        Resins = new ResinCoefficients[resins];
    }

    /// <summary>Charge number of the exchanged form of each ion [-].</summary>
    public double[] Charge { get; }

    /// <summary>1/Kp of each ion, 0 for none [m³/mol].</summary>
    public double[] ProtonGain { get; }

    /// <summary>Kd of each ion, 0 for none [mol/m³].</summary>
    public double[] ProtonLoss { get; }

    /// <summary>Whether an ion has more than one form.</summary>
    public bool[] Weak { get; }

    /// <summary>Ionic product of water [mol²/m⁶].</summary>
    public double Kw { get; private init; }

    /// <summary>Superficial velocity in the bed [m/s].</summary>
    public double Velocity { get; private init; }

    /// <summary>Depth of the bed [m].</summary>
    public double Depth { get; private init; }

    /// <summary>The resins.</summary>
    public ResinCoefficients[] Resins { get; }

    /// <summary>Whether two resins of a bed compete for the same ions.</summary>
    public bool Competing { get; private init; }

    /// <summary>Coefficients of a bed.</summary>
    /// <param name="bed">The bed.</param>
    /// <param name="ions">The ions of the run.</param>
    /// <param name="grid">The grid; it bounds the transfer units that can be resolved.</param>
    /// <param name="flow">Flow through the stage, by-pass included [m³/s].</param>
    /// <param name="temperature">Temperature [K].</param>
    /// <param name="ionicStrength">Ionic strength of the feed [mol/L], used when activities are.</param>
    public static BedCoefficients Create(
        ExchangeBed bed,
        BedIons ions,
        BedGrid grid,
        double flow,
        double temperature,
        double ionicStrength
    )
    {
        bool activities = bed.Activities ?? bed.Equilibrium;
        double gamma = activities ? MonovalentActivity(ionicStrength, temperature) : 1;
        double velocity = flow * (1 - bed.Bypass) / bed.Area;
        double kw = 1e6 * Math.Pow(10, Equilibria.LogK(Reaction.Water, temperature)) / (gamma * gamma);
        var coefficients = new BedCoefficients(ions.Count, bed.Resins.Length)
        {
            Kw = kw,
            Velocity = velocity,
            Depth = bed.Depth.Meters,
            Competing = bed.Resins.Count(r => r.Sign > 0) > 1 || bed.Resins.Count(r => r.Sign < 0) > 1,
        };
        for (int i = 0; i < ions.Count; i++)
        {
            (double gain, double loss) = Protonation(ions.Components[i], temperature, gamma);
            coefficients.Charge[i] = BedIons.ExchangedForm(ions.Components[i]).Charge;
            coefficients.ProtonGain[i] = gain;
            coefficients.ProtonLoss[i] = loss;
            coefficients.Weak[i] = gain > 0 || loss > 0;
        }

        double resolvable = 2 * velocity / (grid.Slice[1] * bed.Depth.Meters);
        for (int r = 0; r < bed.Resins.Length; r++)
        {
            coefficients.Resins[r] = ResinCoefficients.Create(
                bed,
                bed.Resins[r],
                ions,
                coefficients,
                temperature,
                gamma,
                0.9 * resolvable
            );
        }

        return coefficients;
    }

    /// <summary>Largest number of transfer units k·a·L/u over the ions and resins of a bed [-].</summary>
    /// <param name="bed">The bed.</param>
    /// <param name="flow">Flow [m³/s].</param>
    /// <param name="temperature">Temperature [K].</param>
    public static double MostTransferUnits(ExchangeBed bed, double flow, double temperature)
    {
        double velocity = flow * (1 - bed.Bypass) / bed.Area;
        return bed.Resins.Max(resin =>
            resin.Selectivity.Keys.Max(ion =>
                ResinCoefficients.TransferRate(bed, resin, ion, velocity, temperature)
            )
            * bed.Depth.Meters
            / velocity
        );
    }

    private static double MonovalentActivity(double ionicStrength, double temperature)
    {
        double root = Math.Sqrt(ionicStrength);
        return Math.Pow(10, -DebyeHuckel.A(temperature) * (root / (1 + root) - 0.3 * ionicStrength)); // eq. exchange-bed-10
    }

    private static (double Gain, double Loss) Protonation(
        Component component,
        double temperature,
        double gamma
    )
    {
        double K(Reaction reaction) => 1e3 * Math.Pow(10, Equilibria.LogK(reaction, temperature));
        double square = gamma * gamma;
        double fourth = square * square;
        return component switch
        {
            Component.InorganicCarbon => (
                square / K(Reaction.CarbonicAcid),
                K(Reaction.Bicarbonate) / fourth
            ),
            Component.Silica => (square / K(Reaction.SilicicAcid), 0),
            Component.Phosphate => (square / K(Reaction.Phosphate1), K(Reaction.Phosphate2) / fourth),
            Component.Ammonium => (0, K(Reaction.AmmoniumIon)),
            _ => (0, 0),
        };
    }
}
