using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// The constants by which the ions of a run share protons and compete, in concentrations: as they are at infinite dilution, or
/// as activity coefficients and ion pairs make them in one water.
/// </summary>
/// <remarks>
/// A form of a component counts with its pairs: bicarbonate is HCO3- with CaHCO3+, MgHCO3+ and NaHCO3, calcium is Ca+2 with
/// all its pairs, the hydrogen ion with HSO4- and HF, hydroxide with CaOH+ and its like. The active part of each is its
/// activity over all of that (docs/models/exchange-bed.md, eq. exchange-bed-10).
/// </remarks>
internal sealed class BedEquilibria
{
    private const double Trace = 1e-9; // [mol/m³] of ions that only the resins bring
    private const double WaterPerVolume = 1000; // [kg/m³]; the bed takes mol/m³ for mmol/kg

    private readonly double[] _active;

    private BedEquilibria(double kw, double[] gain, double[] loss, double[] active)
    {
        Kw = kw;
        ProtonGain = gain;
        ProtonLoss = loss;
        _active = active;
    }

    /// <summary>Ionic product of water [mol²/m⁶].</summary>
    public double Kw { get; }

    /// <summary>1/Kp by component, 0 for none [m³/mol].</summary>
    public double[] ProtonGain { get; }

    /// <summary>Kd by component, 0 for none [mol/m³].</summary>
    public double[] ProtonLoss { get; }

    /// <summary>Active part of the hydrogen ion, with what sulfate and fluoride bind of it [-].</summary>
    public double ActiveHydrogen { get; private init; } = 1;

    /// <summary>Active part of hydroxide, with the hydroxide pairs [-].</summary>
    public double ActiveHydroxide { get; private init; } = 1;

    /// <summary>Active part of the form in which a component is exchanged [-].</summary>
    public double Active(Component component) => _active[(int)component];

    /// <summary>The constants at infinite dilution.</summary>
    /// <param name="constants">Constants of water and ions at its temperature.</param>
    public static BedEquilibria Ideal(BedConstants constants)
    {
        double[] active = new double[IonCatalog.ComponentCount];
        Array.Fill(active, 1);
        return new(constants.Kw, [.. constants.ProtonGain.Select(k => 1 / k)], constants.ProtonLoss, active);
    }

    /// <summary>The constants in a water; those at infinite dilution where that water has no speciation.</summary>
    /// <param name="totals">Totals by component [mol/m³]; length: number of components.</param>
    /// <param name="ions">The ions of the run.</param>
    /// <param name="constants">Constants of water and ions at its temperature.</param>
    public static BedEquilibria In(ReadOnlySpan<double> totals, BedIons ions, BedConstants constants)
    {
        double[] present = totals.ToArray();
        foreach (Component ion in ions.Components)
        {
            present[(int)ion] = Math.Max(present[(int)ion], Trace);
        }

        var water = new Speciation();
        SpeciationStatus status = new SpeciationSolver().Solve(
            present,
            constants.Temperature,
            SpeciationTarget.ChargeAndTotalCarbon(0, present[(int)Component.InorganicCarbon]),
            water
        );
        return status == SpeciationStatus.Solved ? Of(water, ions) : Ideal(constants);
    }

    private static BedEquilibria Of(Speciation water, BedIons ions)
    {
        double Of(Species species) => water.Molalities[(int)species];
        double hydrogen = Of(Species.Hydrogen) + Of(Species.HydrogenSulfate) + Of(Species.HydrogenFluoride);
        double hydroxide = Of(Species.Hydroxide);
        foreach (Formation pair in Formation.Compound)
        {
            if (pair.Ligand == Formation.None && pair.Species != Species.Ammonia)
            {
                hydroxide += Of(pair.Species);
            }
        }

        double[] gain = new double[IonCatalog.ComponentCount];
        double[] loss = new double[IonCatalog.ComponentCount];
        double[] active = new double[IonCatalog.ComponentCount];
        Array.Fill(active, 1);
        foreach (Component ion in ions.Components)
        {
            (double more, double exchanged, double less) = Forms(water, ion);
            gain[(int)ion] = more / (exchanged * hydrogen * WaterPerVolume);
            loss[(int)ion] = less / exchanged * hydrogen * WaterPerVolume;
            active[(int)ion] = Math.Pow(10, water.LogActivity(Exchanged(ion))) / exchanged;
        }

        return new(hydrogen * hydroxide * WaterPerVolume * WaterPerVolume, gain, loss, active)
        {
            ActiveHydrogen = Math.Pow(10, -water.PH) / hydrogen,
            ActiveHydroxide = Math.Pow(10, water.LogActivity(Species.Hydroxide)) / hydroxide,
        };
    }

    /// <summary>Molalities of a component with one proton more than the exchanged form has, as exchanged, and with one less [mol/kg].</summary>
    private static (double More, double Exchanged, double Less) Forms(Speciation water, Component ion)
    {
        double Of(Species species) => water.Molalities[(int)species];
        return ion switch
        {
            Component.Silica => (
                Of(Species.SilicicAcid),
                Of(Species.Trihydrogensilicate),
                Of(Species.Dihydrogensilicate)
            ),
            Component.InorganicCarbon => (
                Of(Species.CarbonDioxide),
                WithProtons(water, ion, 1),
                WithProtons(water, ion, 0)
            ),
            Component.Phosphate => (
                Of(Species.PhosphoricAcid),
                WithProtons(water, ion, 2),
                WithProtons(water, ion, 1)
            ),
            Component.Ammonium => (
                0,
                WithProtons(water, ion, protons: null) - Of(Species.Ammonia),
                Of(Species.Ammonia)
            ),
            _ => (0, WithProtons(water, ion, protons: null), 0),
        };
    }

    /// <summary>Molality of a component with a number of protons, or with any, over free ion and pairs [mol/kg].</summary>
    private static double WithProtons(Speciation water, Component ion, int? protons)
    {
        int cation = Array.IndexOf(Formation.CationComponents, ion);
        int ligand = Array.IndexOf(Formation.LigandComponents, ion);
        double sum = protons is null or 0 ? water.Molalities[(int)IonCatalog.Master(ion)] : 0;
        foreach (Formation compound in Formation.Compound)
        {
            bool holds = cation >= 0 ? compound.Cation == cation : ligand >= 0 && compound.Ligand == ligand;
            if (holds && (protons is null || compound.Protons == protons))
            {
                sum += water.Molalities[(int)compound.Species];
            }
        }

        return sum;
    }

    private static Species Exchanged(Component ion) =>
        ion == Component.Silica ? Species.Trihydrogensilicate : BedIons.ExchangedForm(ion).Species;
}
