using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

public sealed class WaterIndicesTests
{
    // Key usgs024045, table 4: dissolved solids 624 and 4020 mg/L as the sum of constituents with bicarbonate as carbonate, minor
    // constituents not listed here included; hardness 2500 mg/L as CaCO3 of the second. Tolerance 1 %: those minor constituents.
    [Theory]
    [InlineData(25, 14, 190, 13, 707, 7, 1.2, 1.1, 20, 624, 120)]
    [InlineData(550, 280, 270, 14, 326, 18, 2700, 0.3, 17, 4020, 2500)]
    public void Residue_and_hardness_agree_with_the_sum_of_constituents(
        double ca,
        double mg,
        double na,
        double k,
        double hco3,
        double cl,
        double so4,
        double f,
        double sio2,
        double residue,
        double hardness
    )
    {
        Speciation water = Solve([ca, mg, na, k, hco3, cl, so4, f, sio2], 7.5);
        Assert.Equal(residue, WaterIndices.Residue(water), 0.01 * residue);
        Assert.Equal(hardness, WaterIndices.Hardness(water), 0.015 * hardness);
    }

    // Standard Methods 2510 A (key standardmethods, from memory): 478.8 uS/cm calculated by its rule; tolerance 3 %: another model.
    [Fact]
    public void Conductivity_of_the_standards_example_is_near_the_standards_own_rule() =>
        Assert.Equal(
            478.8,
            Conductance.Conductivity(Solve([55, 12, 28, 3.2, 170, 20, 77, 0, 0], 7.8)) * 1e4,
            0.03 * 478.8
        );

    // Standard Methods 2330 B (key standardmethods, from memory): pK2 10.33, pKs 8.48, A 0.511 at 25 degC; put in by hand.
    [Theory]
    [InlineData(60, 40, 183, 40)]
    [InlineData(400, 200, 183, 900)]
    public void Saturation_pH_is_that_of_the_standards_formula(double ca, double na, double hco3, double cl)
    {
        Speciation water = Solve([ca, 0, na, 0, hco3, cl, 0, 0, 0], 7.6);
        double i = water.IonicStrength;
        double pfm = 0.511 * (Math.Sqrt(i) / (1 + Math.Sqrt(i)) - 0.3 * i);
        double bicarbonate = WaterIndices.Alkalinity(water) / 50043.5;
        double expected = 10.33 - 8.48 - Math.Log10(ca / 40078.0) - Math.Log10(bicarbonate) + 5 * pfm;
        Assert.Equal(expected, WaterIndices.SaturationPH(water), 0.01);
        Assert.Equal(7.6 - expected, WaterIndices.Langelier(water), 0.01);
        Assert.Equal(2 * expected - 7.6, WaterIndices.Ryznar(water), 0.02);
    }

    [Fact]
    public void Charge_balance_counts_what_the_analysis_is_off()
    {
        Speciation even = Solve([40.078, 0, 0, 0, 61.0168, 35.453, 0, 0, 0], 7.5);
        Assert.Equal(0, WaterIndices.ChargeBalance(even), 1e-6);
        Speciation off = Solve([40.078, 0, 0, 0, 61.0168, 0, 0, 0, 0], 7.5);
        Assert.Equal(100.0 / 3, WaterIndices.ChargeBalance(off), 1e-6);
    }

    [Theory]
    [InlineData(Component.Chloride, 2)] // an acid
    [InlineData(Component.Phosphate, 2)]
    [InlineData(Component.Phosphate, 0.5)]
    public void A_water_whose_pH_comes_from_its_charge_balances(Component anion, double amount)
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Sodium] = 1;
        totals[(int)anion] = amount;
        var water = new Speciation();
        Assert.Equal(
            SpeciationStatus.Solved,
            new SpeciationSolver().Solve(
                totals,
                298.15,
                SpeciationTarget.ChargeAndTotalCarbon(0, 0.01),
                water
            )
        );
        Assert.Equal(0, WaterIndices.ChargeBalance(water), 1e-3);
    }

    [Fact]
    public void At_calcite_equilibrium_the_index_is_zero_and_nothing_more_falls_out()
    {
        var solver = new SpeciationSolver();
        var end = new Speciation();
        var again = new Speciation();
        Speciation water = Solve([120, 10, 30, 2, 350, 40, 50, 0.1, 10], 7.9);
        double potential = WaterIndices.CalcitePotential(water, solver, end);
        Assert.True(potential > 0.1);
        Assert.Equal(0, end.SaturationIndex(Reaction.Calcite), 1e-6);
        Assert.Equal(water.NetCharge, end.NetCharge, 1e-9);
        Assert.Equal(0, WaterIndices.CalcitePotential(end, solver, again), 1e-6);
    }

    [Fact]
    public void Water_without_calcium_has_no_scaling_index()
    {
        Speciation water = Solve([0, 0, 23, 0, 61, 0, 0, 0, 0], 7.5);
        Assert.True(double.IsNaN(WaterIndices.Langelier(water)));
        Assert.True(WaterIndices.CalcitePotential(water, new SpeciationSolver(), new Speciation()) < 0);
    }

    private static Speciation Solve(double[] milligrams, double pH)
    {
        Component[] order =
        [
            Component.Calcium,
            Component.Magnesium,
            Component.Sodium,
            Component.Potassium,
            Component.InorganicCarbon,
            Component.Chloride,
            Component.Sulfate,
            Component.Fluoride,
            Component.Silica,
        ];
        double[] totals = new double[IonCatalog.ComponentCount];
        for (int i = 0; i < order.Length; i++)
        {
            totals[(int)order[i]] = milligrams[i] / (1000 * IonCatalog.MolarMass(order[i]));
        }

        var result = new Speciation();
        var target = SpeciationTarget.PHAndAlkalinity(pH, milligrams[4] / 61.0168);
        Assert.Equal(SpeciationStatus.Solved, new SpeciationSolver().Solve(totals, 298.15, target, result));
        return result;
    }
}
