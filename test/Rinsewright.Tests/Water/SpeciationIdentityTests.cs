using CsCheck;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

/// <summary>Laws that hold for every water the solver calls solved.</summary>
public sealed class SpeciationIdentityTests
{
    private static readonly Gen<double> Total = Gen.OneOf(
        Gen.Const(0.0),
        Gen.Double[-6, 1.3].Select(x => Math.Pow(10, x))
    );

    // Totals from nothing to 20 mol/m3 of every component at 0-45 degC, in every combination: physical, mostly not natural.
    private static readonly Gen<Case> AnyWater = Gen.Select(
        Total.Array[IonCatalog.ComponentCount],
        Gen.Double[273.15, 318.15],
        Gen.Double[-1, 1],
        Gen.Enum<ActivityModel>(),
        (totals, kelvin, imbalance, model) => new Case(totals, kelvin, imbalance, model)
    );

    [Fact]
    public void A_closed_water_is_always_solved_and_keeps_its_totals_and_charge() =>
        AnyWater
            .Repeat()
            .Sample(
                w =>
                {
                    double residual = w.Imbalance * 0.05 * w.Totals.Max();
                    Speciation s = Solve(w, SpeciationTarget.ChargeAndTotalCarbon(residual, w.Carbon));
                    AssertTotals(w.Totals, s);
                    double charge = Enum.GetValues<Species>()
                        .Sum(species => IonCatalog.Of(species).Charge * s.Concentration(species));
                    double ions = Enum.GetValues<Species>()
                        .Sum(species => Math.Abs(IonCatalog.Of(species).Charge) * s.Concentration(species));
                    Assert.Equal(residual, charge, 1e-9 * ions);
                    Assert.Equal(residual, s.NetCharge, 1e-9 * ions);
                },
                iter: 2000
            );

    [Fact]
    public void Every_species_obeys_its_mass_action_law() =>
        AnyWater
            .Repeat()
            .Sample(
                w =>
                {
                    Speciation s = Solve(w, SpeciationTarget.ChargeAndTotalCarbon(0, w.Carbon));
                    double[] logBeta = new double[IonCatalog.SpeciesCount];
                    Formation.LogConstants(w.Kelvin, logBeta);
                    foreach (
                        Formation f in Formation.Compound.Where(f => s.Molalities[(int)f.Species] > 1e-280)
                    )
                    {
                        double masters = -s.PH * f.Protons;
                        masters +=
                            f.Cation == Formation.None ? 0 : s.LogActivity(Formation.CationIons[f.Cation]);
                        masters +=
                            f.Ligand == Formation.None ? 0 : s.LogActivity(Formation.LigandIons[f.Ligand]);
                        Assert.Equal(logBeta[(int)f.Species], s.LogActivity(f.Species) - masters, 1e-9);
                    }

                    double water = s.LogActivity(Species.Hydrogen) + s.LogActivity(Species.Hydroxide);
                    Assert.Equal(Equilibria.LogK(Reaction.Water, w.Kelvin), water, 1e-9);
                },
                iter: 500
            );

    [Fact]
    public void All_ways_to_fix_the_same_water_give_the_same_pH_and_carbon() =>
        AnyWater
            .Repeat()
            .Sample(
                w =>
                {
                    Speciation first = Solve(w, SpeciationTarget.ChargeAndTotalCarbon(0, w.Carbon + 0.01));
                    if (first.PH is < 4.5 or > 11)
                    {
                        return; // carbon is all but unseen by alkalinity below, and the gas all but empty above
                    }

                    double pressure = first.LogCarbonDioxidePressure;
                    SpeciationTarget[] targets =
                    [
                        SpeciationTarget.PHAndAlkalinity(first.PH, first.Alkalinity),
                        SpeciationTarget.PHAndTotalCarbon(first.PH, first.TotalCarbon),
                        SpeciationTarget.PHAndCarbonDioxide(first.PH, pressure),
                        SpeciationTarget.AlkalinityAndTotalCarbon(first.Alkalinity, first.TotalCarbon),
                        SpeciationTarget.AlkalinityAndCarbonDioxide(first.Alkalinity, pressure),
                        SpeciationTarget.ChargeAndCarbonDioxide(0, pressure),
                    ];
                    double scale = w.Totals.Max();
                    foreach (SpeciationTarget target in targets)
                    {
                        Speciation again = Solve(w, target);
                        Assert.Equal(first.PH, again.PH, 1e-6);
                        Assert.Equal(
                            first.TotalCarbon,
                            again.TotalCarbon,
                            1e-5 * (scale + first.TotalCarbon)
                        );
                        Assert.Equal(first.Alkalinity, again.Alkalinity, 1e-6 * scale + 1e-9);
                        Assert.Equal(0, again.NetCharge, 1e-6 * scale + 1e-9);
                    }
                },
                iter: 500
            );

    [Fact]
    public void More_carbon_dioxide_above_a_water_lowers_its_pH() =>
        AnyWater
            .Repeat()
            .Sample(
                w =>
                {
                    double thin = Solve(w, SpeciationTarget.ChargeAndCarbonDioxide(0, -3.4)).PH;
                    double thick = Solve(w, SpeciationTarget.ChargeAndCarbonDioxide(0, -2.4)).PH;
                    Assert.True(thick <= thin + 1e-9, $"{thick} {thin}");
                },
                iter: 500
            );

    private static Speciation Solve(Case w, SpeciationTarget target)
    {
        var result = new Speciation();
        SpeciationStatus status = new SpeciationSolver(w.Model).Solve(w.Totals, w.Kelvin, target, result);
        Assert.Equal(SpeciationStatus.Solved, status);
        return result;
    }

    private static void AssertTotals(double[] totals, Speciation s)
    {
        double[] found = new double[IonCatalog.ComponentCount];
        foreach (Component component in Enum.GetValues<Component>())
        {
            found[(int)component] = s.Concentration(IonCatalog.Master(component));
        }

        foreach (Formation f in Formation.Compound)
        {
            if (f.Cation != Formation.None)
            {
                found[(int)Formation.CationComponents[f.Cation]] += s.Concentration(f.Species);
            }

            if (f.Ligand != Formation.None)
            {
                found[(int)Formation.LigandComponents[f.Ligand]] += s.Concentration(f.Species);
            }
        }

        found[(int)Component.Silica] +=
            s.Concentration(Species.Trihydrogensilicate) + s.Concentration(Species.Dihydrogensilicate);
        for (int c = 0; c < totals.Length; c++)
        {
            Assert.Equal(totals[c], found[c], 1e-11 * totals[c]);
            Assert.Equal(totals[c], s.Totals[c], 1e-11 * totals[c]);
        }
    }

    private sealed record Case(double[] Totals, double Kelvin, double Imbalance, ActivityModel Model)
    {
        public double Carbon => Totals[(int)Component.InorganicCarbon];
    }
}
