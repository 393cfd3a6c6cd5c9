using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

public sealed class WaterCompletionTests
{
    private const string Ions = """
        "calcium": "104 mg/L", "magnesium": "5 mg/L", "sodium": "14 mg/L", "potassium": "1.8 mg/L", "chloride": "24.4 mg/L",
        "sulfate": "30 mg/L", "nitrate": "24 mg/L as NO3", "silica": "12.5 mg/L as SiO2"
        """;

    private const string Full =
        $$"""{ "temperature": "15 degC", "pH": 7.4, "bicarbonate": "270 mg/L", {{Ions}} }""";

    [Fact]
    public void A_stated_water_keeps_its_pH_its_alkalinity_and_its_charge()
    {
        Speciation water = Only(Full, new WaterMode());
        Assert.Equal(7.4, water.PH, 1e-9);
        Assert.Equal(270 / 61.0168, water.Alkalinity, 1e-4);
        Assert.Equal(0.131, water.NetCharge, 0.001);
    }

    [Fact]
    public void A_water_open_to_the_air_is_in_balance_with_its_carbon_dioxide_at_the_same_alkalinity()
    {
        Speciation water = Only(Full, new WaterMode(OpenToAir: true));
        Assert.Equal(-3.38, water.LogCarbonDioxidePressure, 1e-6);
        Assert.Equal(270 / 61.0168, water.Alkalinity, 1e-4);
        Assert.InRange(water.PH, 8, 9);
    }

    [Fact]
    public void A_pH_from_the_charge_closes_the_balance_at_the_same_carbon()
    {
        Speciation plain = Only(Full, new WaterMode());
        Speciation water = Only(Full, new WaterMode(FromCharge: true));
        Assert.Equal(0, water.NetCharge, 1e-9);
        Assert.Equal(plain.TotalCarbon, water.TotalCarbon, 1e-9);
        Assert.True(water.PH > plain.PH + 0.1);
    }

    [Fact]
    public void Open_to_the_air_and_balanced_a_water_needs_neither_pH_nor_alkalinity()
    {
        Speciation water = Only(
            $$"""{ "temperature": "15 degC", {{Ions}} }""",
            new WaterMode(OpenToAir: true, FromCharge: true)
        );
        Assert.Equal(0, water.NetCharge, 1e-9);
        Assert.Equal(-3.38, water.LogCarbonDioxidePressure, 1e-6);
        Assert.Equal(4.55, water.Alkalinity, 0.03);
    }

    [Fact]
    public void Stated_carbon_dioxide_stands_for_the_pH()
    {
        Speciation water = Only(
            $$"""{ "temperature": "15 degC", "carbonDioxide": "20 mg/L", "bicarbonate": "270 mg/L", {{Ions}} }""",
            new WaterMode()
        );
        Assert.Equal(20 / 44.0095, water.CarbonDioxide, 1e-3);
        Assert.Equal(270 / 61.0168, water.Alkalinity, 1e-4);
    }

    [Fact]
    public void A_temperature_that_is_not_stated_is_told()
    {
        const string Told = "No temperature is stated: 25 °C is taken, as laboratories report.";
        string Said(string json) => string.Join('\n', WaterText.Complete(json).Warnings);
        Assert.StartsWith(Told, Said("""{ "tds": { "reading": "62 ppm" } }"""), StringComparison.Ordinal);
        Assert.DoesNotContain(Told, Said(Full), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("<0.2 mg/L", 0.1)]
    [InlineData("0.1-0.3 mg/L", 0.2)]
    [InlineData("0.1-0.15-0.3 mg/L", 0.15)]
    [InlineData("0.3 mg/L", 0.3)]
    public void Of_a_trace_that_is_stated_loosely_the_middle_is_taken(string stated, double milligrams) =>
        Assert.All(
            WaterText.Complete($$"""{ "tds": { "reading": "120 ppm" }, "iron": "{{stated}}" }""").Members,
            m => Assert.Equal(milligrams / 55.845, m[Component.Iron], 1e-6)
        );

    [Fact]
    public void What_is_stated_as_none_is_none() =>
        Assert.All(
            WaterText.Complete("""{ "tds": { "reading": "120 ppm" }, "silica": "0 mg/L as SiO2" }""").Members,
            m => Assert.Equal(0, m[Component.Silica])
        );

    [Fact]
    public void Hardness_beside_calcium_tells_of_magnesium()
    {
        WaterReport report = Report(
            """{ "conductivity": "400 uS/cm", "hardness": "150 mg/L as CaCO3", "calcium": "40 mg/L" }"""
        );
        Assert.InRange(report.Quantile(WaterFigure.Hardness, 0.05), 138, 147);
        Assert.InRange(report.Quantile(WaterFigure.Hardness, 0.95), 153, 162);
    }

    [Fact]
    public void A_range_of_pH_is_kept_about_its_middle()
    {
        WaterReport Of(string pH) => Report($$"""{ "conductivity": "400 uS/cm", "pH": "{{pH}}" }""");
        WaterReport narrow = Of("8.4-8.6");
        Assert.InRange(narrow.Quantile(WaterFigure.PH, 0.05), 8.35, 8.45);
        Assert.InRange(narrow.Quantile(WaterFigure.PH, 0.95), 8.55, 8.65);
        Assert.True(
            Of("7-7.1-8.6").Quantile(WaterFigure.PH, 0.5) < Of("7-8.6").Quantile(WaterFigure.PH, 0.5) - 0.2
        );
        Assert.InRange(Of("<7").Quantile(WaterFigure.PH, 1), 5, 7.2);
    }

    // Equivalents [eq/m³] of calcium and alkalinity as stated, the others as drawn; 0.2 over, of which the stated ions keep their share.
    [Theory]
    [InlineData(0.2, 0.8, 0.7, Component.Sodium, -1)]
    [InlineData(-0.2, 0.8, 0.7, Component.Sodium, 1)]
    [InlineData(0.2, 0.6, 0.9, Component.Chloride, 1)]
    [InlineData(-0.2, 0.6, 0.9, Component.Chloride, -1)]
    public void The_largest_drawn_ion_that_can_closes_the_balance(
        double over,
        double sodium,
        double chloride,
        Component closing,
        int sign
    )
    {
        WaterComposition drawn = Drawn(over, sodium, chloride, out double[] point);
        WaterComposition balanced = Completion().Balance(drawn, point);
        double kept = over * 2 / (2 + 0.5 + sodium + 0.1 + chloride + 0.3 + 0.05);
        Assert.Equal(kept, balanced.ChargeResidual, 1e-12);
        Assert.Equal(drawn[closing] + (sign * Math.Abs(over - kept)), balanced[closing], 1e-12);
        Assert.All(
            Enum.GetValues<Component>().Where(c => c != closing),
            c => Assert.Equal(drawn[c], balanced[c])
        );
    }

    [Fact]
    public void What_no_drawn_ion_can_close_stays_with_the_water()
    {
        WaterComposition drawn = Drawn(0.6, 0.8, 0.7, out double[] point);
        Assert.Same(drawn, Completion().Balance(drawn, point));
    }

    [Theory]
    [InlineData(SpeciationStatus.TemperatureOutOfRange, "temperature: outside the range: 0 to 45 °C")]
    [InlineData(
        SpeciationStatus.NoSuchCarbon,
        "pH, alkalinity: they contradict each other: an alkalinity that is at least what hydroxide, silica and phosphate give at this pH"
    )]
    [InlineData(
        SpeciationStatus.InvalidTotals,
        "water: a value is below 0 or no number: finite ions, pH and alkalinity of 0 or more"
    )]
    [InlineData(
        SpeciationStatus.NotConverged,
        "water: the balances of these values were not closed to round-off: the values of a fresh water, up to an ionic strength of 0.5 mol/L"
    )]
    [InlineData(
        SpeciationStatus.NotSolved,
        "water: no pH between -1 and 15 fits these values: ions, pH and alkalinity that belong to one sample"
    )]
    public void Each_way_to_fail_says_what_and_what_would_be_right(SpeciationStatus status, string said) =>
        Assert.Equal(said, SourceWater.Explain(status).ToString());

    private static Speciation Only(string json, WaterMode mode)
    {
        WaterComposition water = Assert.Single(WaterText.Complete(json, mode).Members);
        var state = new Speciation();
        Assert.Equal(SpeciationStatus.Solved, new SpeciationSolver().Solve(water, water.Closed, state));
        return state;
    }

    private static WaterReport Report(string json) =>
        WaterReport.Of(WaterText.Complete(json), ActivityModel.TruesdellJones)!;

    private static WaterCompletion Completion()
    {
        Assert.True(
            WaterFile.TryRead(
                """{ "calcium": "20.039 mg/L", "alkalinity": "50.0435 mg/L as CaCO3" }""",
                out WaterAnalysis? analysis,
                out IReadOnlyList<InputProblem> _,
                out _
            )
        );
        return new WaterCompletion(analysis, new WaterMode(), 1, 1);
    }

    /// <summary>A water with 1 eq/m³ each of calcium and alkalinity, and its point in the coordinates of the prior.</summary>
    private static WaterComposition Drawn(double over, double sodium, double chloride, out double[] point)
    {
        double[] equivalents = [1, 0.5, sodium, 0.1, 1, chloride, 0.3, 0.05];
        point = [.. equivalents.Select(e => Math.Log(e)), 7.5, Math.Log(0.15)];
        double[] totals = new double[IonCatalog.ComponentCount];
        for (int i = 0; i < equivalents.Length; i++)
        {
            totals[(int)WaterPrior.Components[i]] = equivalents[i] / WaterPrior.EquivalentsPerMole(i);
        }

        return new WaterComposition(totals, over, 288.15);
    }
}
