using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

public sealed class SpeciationSolverTests
{
    private const double T25 = 298.15;

    [Fact]
    public void A_solution_allocates_nothing()
    {
        var solver = new SpeciationSolver();
        var result = new Speciation();
        double[] totals = ReferenceWaters.Totals(ReferenceWaters.Rows[4]);
        SpeciationTarget target = ReferenceWaters.Target(ReferenceWaters.Rows[4]);
        solver.Solve(totals, T25, target, result);
        solver.Solve(totals, T25 + 1, target, result);

        long before = GC.GetAllocatedBytesForCurrentThread();
        for (int i = 0; i < 100; i++)
        {
            solver.Solve(totals, T25 + 0.1 * i, target, result);
            solver.Solve(totals, T25, SpeciationTarget.ChargeAndTotalCarbon(0, 4), result);
        }

        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    // Pure water: pKw 13.9944 at 25 degC and 14.7341 at 5 degC (key iapws-r11-07, at 0.101325 MPa), so half of it.
    [Theory]
    [InlineData(25, 6.9972)]
    [InlineData(5, 7.3671)]
    [InlineData(40, 6.7672)]
    public void Pure_water_is_neutral(double celsius, double pH) =>
        Assert.Equal(pH, Solve([], celsius, SpeciationTarget.ChargeAndTotalCarbon(0, 0)).PH, 0.0005);

    // HCl 0.01 mol/kg: pH 2.04 from the mean activity coefficient 0.904 (Robinson and Stokes, from memory).
    [Fact]
    public void Hydrochloric_acid_of_a_hundredth_molar_has_pH_2_04() =>
        Assert.Equal(
            2.044,
            Solve([(Component.Chloride, 9.97)], 25, SpeciationTarget.ChargeAndTotalCarbon(0, 0)).PH,
            0.01
        );

    // NaOH 0.01 mol/kg: pOH 2.045 from the mean activity coefficient 0.902 (from memory), pKw 13.994.
    [Fact]
    public void Caustic_soda_of_a_hundredth_molar_has_pH_11_95() =>
        Assert.Equal(
            11.95,
            Solve([(Component.Sodium, 9.97)], 25, SpeciationTarget.ChargeAndTotalCarbon(0, 0)).PH,
            0.01
        );

    // Water under air: pH 5.6 at 25 degC and 10^-3.4 atm of carbon dioxide (textbook value).
    [Fact]
    public void Pure_water_under_air_has_pH_5_6() =>
        Assert.Equal(5.6, Solve([], 25, SpeciationTarget.ChargeAndCarbonDioxide(0, -3.4)).PH, 0.02);

    [Fact]
    public void An_alkalinity_below_that_of_the_hydroxide_at_the_given_pH_is_refused()
    {
        SpeciationStatus status = Try(
            [(Component.Sodium, 1)],
            25,
            SpeciationTarget.PHAndAlkalinity(11.5, 0.5)
        );
        Assert.Equal(SpeciationStatus.NoSuchCarbon, status);
    }

    [Fact]
    public void A_bicarbonate_alkalinity_at_the_pH_of_a_strong_acid_is_refused() =>
        Assert.Equal(
            SpeciationStatus.NoSuchCarbon,
            Try([(Component.Sodium, 3)], 25, SpeciationTarget.PHAndAlkalinity(2, 3))
        );

    [Fact]
    public void A_charge_that_no_pH_balances_is_refused() =>
        Assert.Equal(
            SpeciationStatus.NoSuchPH,
            Try([(Component.Sodium, 1)], 25, SpeciationTarget.ChargeAndTotalCarbon(-1e6, 1))
        );

    [Theory]
    [InlineData(-1, 25, SpeciationStatus.InvalidTotals)]
    [InlineData(double.NaN, 25, SpeciationStatus.InvalidTotals)]
    [InlineData(1, 60, SpeciationStatus.TemperatureOutOfRange)]
    [InlineData(1, double.NaN, SpeciationStatus.TemperatureOutOfRange)]
    public void Nonsense_is_answered_with_a_status(double sodium, double celsius, SpeciationStatus status) =>
        Assert.Equal(
            status,
            Try([(Component.Sodium, sodium)], celsius, SpeciationTarget.ChargeAndTotalCarbon(0, 1))
        );

    [Fact]
    public void A_composition_brought_to_another_temperature_keeps_its_mass_of_salt_per_mass_of_water()
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Sodium] = 5;
        totals[(int)Component.Chloride] = 5.1;
        var cold = new WaterComposition(totals, -0.1, 278.15);
        WaterComposition warm = cold.AtTemperature(T25);
        double ratio = WaterProperties.Density(T25) / WaterProperties.Density(278.15);
        Assert.Equal(5 * ratio, warm[Component.Sodium], 12);
        Assert.Equal(-0.1 * ratio, warm.ChargeResidual, 12);
        Assert.Equal(5.1, warm.AtTemperature(278.15)[Component.Chloride], 12);
    }

    [Fact]
    public void Impossible_compositions_are_refused()
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        totals[0] = -1;
        Assert.Throws<ArgumentOutOfRangeException>(() => new WaterComposition(totals, 0, T25));
        totals[0] = double.NaN;
        Assert.Throws<ArgumentOutOfRangeException>(() => new WaterComposition(totals, 0, T25));
        Assert.Throws<ArgumentException>(() => new WaterComposition([1, 2], 0, T25));
        totals[0] = 1;
        Assert.Throws<ArgumentOutOfRangeException>(() => new WaterComposition(totals, double.NaN, T25));
        Assert.Throws<ArgumentOutOfRangeException>(() => new WaterComposition(totals, 0, 0));
    }

    private static Speciation Solve(
        (Component Component, double Total)[] water,
        double celsius,
        SpeciationTarget target
    )
    {
        var result = new Speciation();
        Assert.Equal(SpeciationStatus.Solved, Try(water, celsius, target, result));
        return result;
    }

    private static SpeciationStatus Try(
        (Component Component, double Total)[] water,
        double celsius,
        SpeciationTarget target,
        Speciation? result = null
    )
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        foreach ((Component component, double total) in water)
        {
            totals[(int)component] = total;
        }

        return new SpeciationSolver().Solve(
            totals,
            celsius + PhysicalConstants.ZeroCelsius,
            target,
            result ?? new Speciation()
        );
    }
}
