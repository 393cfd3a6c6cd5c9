using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

public sealed class ActivityTests
{
    private const double A = 0.509; // at 25 °C
    private const double B = 0.328e10;

    // Keys davies1962 and truesdell1974, put in by hand at 0.1 mol/kg: the root is 0.3162, Davies' term 0.2402 - 0.03.
    [Theory]
    [InlineData(ActivityModel.Davies, Species.Sodium, -0.1070)]
    [InlineData(ActivityModel.Davies, Species.Chloride, -0.1070)]
    [InlineData(ActivityModel.Davies, Species.Sulfate, -0.4280)]
    [InlineData(ActivityModel.Davies, Species.Phosphate, -0.9630)]
    [InlineData(ActivityModel.Davies, Species.SilicicAcid, 0.01)]
    [InlineData(ActivityModel.TruesdellJones, Species.Calcium, 0.0165 - (0.6438 / 1.5186))]
    [InlineData(ActivityModel.TruesdellJones, Species.Sodium, 0.0075 - (0.16096 / 1.4149))]
    [InlineData(ActivityModel.TruesdellJones, Species.SilicicAcid, 0.01)]
    public void Coefficients_at_a_tenth_molal_are_those_of_the_law(
        ActivityModel model,
        Species species,
        double logarithm
    ) => Assert.Equal(logarithm, Math.Log10(Coefficient(model, species, 0.1)), 2e-4);

    [Theory]
    [InlineData(ActivityModel.Davies)]
    [InlineData(ActivityModel.TruesdellJones)]
    public void In_pure_water_all_are_one_and_above_the_greatest_strength_none_changes(ActivityModel model) =>
        Assert.All(
            Enum.GetValues<Species>(),
            species =>
            {
                Assert.Equal(1, Coefficient(model, species, 0), 1e-12);
                Assert.Equal(
                    Coefficient(model, species, Activity.GreatestIonicStrength),
                    Coefficient(model, species, 7)
                );
            }
        );

    // 0.9836 of 0.5 mol/kg sodium chloride, 0.9967 of 0.1 (handbooks of electrolytes, from memory).
    [Theory]
    [InlineData(0.1, 0.9967)]
    [InlineData(0.5, 0.9836)]
    public void Water_is_as_active_in_salt_water_as_published(double molality, double expected)
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Sodium] = totals[(int)Component.Chloride] = 997 * molality;
        var water = new Speciation();
        Assert.Equal(
            SpeciationStatus.Solved,
            new SpeciationSolver().Solve(totals, 298.15, SpeciationTarget.ChargeAndTotalCarbon(0, 0), water)
        );
        Assert.Equal(expected, water.WaterActivity, 0.001);
    }

    // Key marcus1997 [S·cm²/mol].
    [Theory]
    [InlineData(Species.Hydrogen, 349.8)]
    [InlineData(Species.Hydroxide, 198.3)]
    [InlineData(Species.Sodium, 50.1)]
    [InlineData(Species.Calcium, 119.0)]
    public void Ions_conduct_as_published(Species species, double expected) =>
        Assert.Equal(expected, 1e4 * IonCatalog.Of(species).LimitingConductivity25, 1e-9);

    private static double Coefficient(ActivityModel model, Species species, double strength)
    {
        double[] coefficients = new double[IonCatalog.SpeciesCount];
        Activity.Coefficients(model, A, B, strength, coefficients);
        return coefficients[(int)species];
    }
}
