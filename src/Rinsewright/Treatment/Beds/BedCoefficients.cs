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

    /// <summary>Time in which an excess over full loading runs off [s].</summary>
    public double ExcessTime { get; private init; }

    /// <summary>The resins.</summary>
    public ResinCoefficients[] Resins { get; }

    /// <summary>Coefficients of a bed.</summary>
    /// <param name="bed">The bed.</param>
    /// <param name="ions">The ions of the run.</param>
    /// <param name="grid">The grid; it bounds the transfer units that can be resolved.</param>
    /// <param name="flow">Flow through the stage, by-pass included [m³/s].</param>
    /// <param name="constants">Constants of water and ions at its temperature.</param>
    /// <param name="totals">Totals of the feed by component, used when activities are; none counts as infinite dilution [mol/m³]; length: number of components.</param>
    /// <param name="excessTime">Time in which an excess over full loading runs off [s].</param>
    public static BedCoefficients Create(
        ExchangeBed bed,
        BedIons ions,
        BedGrid grid,
        double flow,
        BedConstants constants,
        ReadOnlySpan<double> totals,
        double excessTime
    )
    {
        BedEquilibria equilibria =
            (bed.Activities ?? bed.Equilibrium) && !totals.IsEmpty
                ? BedEquilibria.In(totals, ions, constants)
                : BedEquilibria.Ideal(constants);
        double velocity = flow * (1 - bed.Bypass) / bed.Area;
        var coefficients = new BedCoefficients(ions.Count, bed.Resins.Length)
        {
            ExcessTime = excessTime,
            Kw = equilibria.Kw,
            Velocity = velocity,
            Depth = bed.Depth.Meters,
        };
        for (int i = 0; i < ions.Count; i++)
        {
            int component = (int)ions.Components[i];
            coefficients.Charge[i] = BedIons.ExchangedForm(ions.Components[i]).Charge;
            coefficients.ProtonGain[i] = equilibria.ProtonGain[component];
            coefficients.ProtonLoss[i] = equilibria.ProtonLoss[component];
            coefficients.Weak[i] = coefficients.ProtonGain[i] > 0 || coefficients.ProtonLoss[i] > 0;
        }

        double resolvable = 2 * velocity / (grid.Slice[1] * bed.Depth.Meters);
        int slot = 0;
        for (int r = 0; r < bed.Resins.Length; r++)
        {
            coefficients.Resins[r] = ResinCoefficients.Create(
                bed,
                bed.Resins[r],
                ions,
                slot,
                coefficients,
                constants,
                equilibria,
                0.9 * resolvable
            );
            slot += coefficients.Resins[r].Ion.Length;
        }

        return coefficients;
    }

    /// <summary>Largest number of transfer units k·a·L/u over the ions and resins of a bed [-].</summary>
    /// <param name="bed">The bed.</param>
    /// <param name="flow">Flow [m³/s].</param>
    /// <param name="constants">Constants of water and ions at its temperature.</param>
    public static double MostTransferUnits(ExchangeBed bed, double flow, BedConstants constants)
    {
        double velocity = flow * (1 - bed.Bypass) / bed.Area;
        return bed.Resins.Max(resin =>
            resin.Selectivity.Keys.Max(ion =>
                ResinCoefficients.TransferRate(bed, resin, ion, velocity, constants)
            )
            * bed.Depth.Meters
            / velocity
        );
    }
}
