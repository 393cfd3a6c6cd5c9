using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <summary>The numbers of one resin in a bed, for the ions of a run that it exchanges.</summary>
internal sealed class ResinCoefficients
{
    private ResinCoefficients(int ions)
    {
        Ion = new int[ions];
        Charge = new double[ions];
        Scale = new double[ions];
        Rate = new double[ions];
        Acidic = new double[ions];
        Basic = new double[ions];
    }

    /// <summary>+1 for cations, −1 for anions [-].</summary>
    public int Sign { get; private init; }

    /// <summary>Place of this resin's first ion among the fractions of a node.</summary>
    public int Slot { get; private init; }

    /// <summary>Index of each ion in the liquid vectors.</summary>
    public int[] Ion { get; }

    /// <summary>Charge number of each ion, without sign: 1 or 2 [-].</summary>
    public double[] Charge { get; }

    /// <summary>
    /// Factor s of the mass-action law c* = s·θ^z·y·φ, with θ = c_ref*/y_ref: s = 1/(z·K·Q^(z−1)) [mol/m³ to the power 1−z].
    /// </summary>
    public double[] Scale { get; }

    /// <summary>Film rate constant k·a of each ion [1/s].</summary>
    public double[] Rate { get; }

    /// <summary>Part of φ that falls with the reference ion's concentration X: φ = 1 + Acidic/X + Basic·X [mol/m³].</summary>
    public double[] Acidic { get; }

    /// <summary>Part of φ that grows with the reference ion's concentration [m³/mol].</summary>
    public double[] Basic { get; }

    /// <summary>Film rate constant k·a of the reference ion [1/s].</summary>
    public double ReferenceRate { get; private init; }

    /// <summary>Capacity per volume of bed [eq/m³].</summary>
    public double Capacity { get; private init; }

    /// <summary>Time constant of the bead, 1/k_s with k_s = 60·D/d² [s]; 0 for none.</summary>
    public double ParticleTime { get; private init; }

    public static ResinCoefficients Create(
        ExchangeBed bed,
        Resin resin,
        BedIons ions,
        int slot,
        BedCoefficients bulk,
        BedConstants constants,
        BedEquilibria equilibria,
        double resolvableRate
    )
    {
        Component[] exchanged = [.. ions.Components.Where(resin.Selectivity.ContainsKey)];
        double bead = resin.Bead.Meters;
        double capacity = resin.Capacity.EquivalentsPerCubicMeter;
        var result = new ResinCoefficients(exchanged.Length)
        {
            Slot = slot,
            Sign = resin.Sign,
            Capacity = capacity * resin.Share,
            ParticleTime =
                bed.Kinetics.Particle && !bed.Equilibrium
                    ? bead * bead / (60 * resin.BeadDiffusivity * constants.BeadFactor) // eq. exchange-bed-14
                    : 0,
            ReferenceRate = bed.Equilibrium
                ? resolvableRate
                : Math.Min(
                    resolvableRate,
                    FilmRate(
                        bed,
                        resin,
                        resin.Sign > 0 ? constants.HydrogenDiffusivity : constants.HydroxideDiffusivity,
                        bulk.Velocity,
                        constants
                    )
                ),
        };
        double reference = resin.Sign > 0 ? equilibria.ActiveHydrogen : equilibria.ActiveHydroxide;
        for (int k = 0; k < exchanged.Length; k++)
        {
            int i = ions.IndexOf(exchanged[k]);
            double z = Math.Abs(bulk.Charge[i]);
            result.Ion[k] = i;
            result.Charge[k] = z;
            result.Scale[k] =
                1
                / (z * resin.Selectivity[exchanged[k]] * Math.Pow(capacity, z - 1))
                * Math.Pow(reference, z)
                / equilibria.Active(exchanged[k]); // eq. exchange-bed-3
            result.Rate[k] = bed.Equilibrium
                ? resolvableRate
                : Math.Min(resolvableRate, TransferRate(bed, resin, exchanged[k], bulk.Velocity, constants));
            (result.Acidic[k], result.Basic[k]) =
                resin.Sign > 0
                    ? (bulk.ProtonLoss[i], bulk.ProtonGain[i])
                    : (bulk.Kw * bulk.ProtonGain[i], bulk.ProtonLoss[i] / bulk.Kw);
        }

        return result;
    }

    /// <summary>Film rate constant k·a of an ion [1/s], axial dispersion included when it counts.</summary>
    public static double TransferRate(
        ExchangeBed bed,
        Resin resin,
        Component ion,
        double velocity,
        BedConstants constants
    )
    {
        int charge = BedIons.ExchangedForm(ion).Charge;
        double diffusivity = constants.Diffusivity[(int)ion];
        double counter = resin.Sign > 0 ? constants.HydrogenDiffusivity : constants.HydroxideDiffusivity;
        double field = bed.Kinetics.FilmField
            ? FilmTransfer.NeutralizationFactor(diffusivity, counter, Math.Abs(charge))
            : 1;
        double film = field * FilmRate(bed, resin, diffusivity, velocity, constants);
        if (!bed.Kinetics.Dispersion)
        {
            return film;
        }

        double bead = resin.Bead.Meters;
        double reynolds = velocity * bead / constants.Viscosity;
        return 1 / (1 / film + 1 / FilmTransfer.DispersionRate(velocity, bead, reynolds));
    }

    private static double FilmRate(
        ExchangeBed bed,
        Resin resin,
        double diffusivity,
        double velocity,
        BedConstants constants
    )
    {
        double bead = resin.Bead.Meters;
        double viscosity = constants.Viscosity;
        double area = 6 * (1 - bed.VoidFraction) / bead * resin.Share; // eq. exchange-bed-9
        double sherwood = FilmTransfer.Sherwood(
            bed.Kinetics.Film,
            velocity * bead / viscosity,
            viscosity / diffusivity,
            bed.VoidFraction
        );
        return bed.Kinetics.FilmFactor * sherwood * diffusivity / bead * area;
    }
}
