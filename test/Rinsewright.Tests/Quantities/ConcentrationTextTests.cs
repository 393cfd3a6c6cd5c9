using Rinsewright.Quantities;

namespace Rinsewright.Tests.Quantities;

/// <summary>What a text about a concentration is taken to be about, and what it keeps of its digits.</summary>
public sealed class ConcentrationTextTests
{
    [Theory]
    [InlineData("10 mg N/L")]
    [InlineData("10 mg/L N")]
    [InlineData("10 mg/L (N)")]
    [InlineData("10 mg/L (as N)")]
    [InlineData("10 mg/L-N")]
    public void A_basis_may_stand_anywhere_beside_its_unit(string text) =>
        Assert.Equal(10 / 14.007, ReadConcentration.Of(text, Analyte.Nitrate).High.MolesPerCubicMeter, 1e-9);

    [Theory]
    [InlineData("7 ºdH")]
    [InlineData("7 °dH")]
    [InlineData("7 dH")]
    public void A_degree_may_be_written_with_its_neighbour_on_the_keyboard_or_left_out(string text)
    {
        Assert.True(
            QuantityText.TryParse(
                "t",
                text,
                out Stated<EquivalentConcentration> stated,
                out InputProblem? problem
            ),
            problem?.ToString()
        );
        Assert.Equal(7 * 20 / 56.077, stated.High.EquivalentsPerCubicMeter, 0.001);
    }

    [Fact]
    public void A_raised_two_is_a_two()
    {
        Assert.True(QuantityText.TryParse("t", "5 gpm/ft²", out Stated<Speed> raised, out _));
        Assert.True(QuantityText.TryParse("t", "5 gpm/ft2", out Stated<Speed> plain, out _));
        Assert.Equal(plain.High, raised.High);
    }

    [Fact]
    public void Grains_count_as_calcium_carbonate_where_equivalents_are_fixed()
    {
        double asCarbonate = ReadConcentration
            .Of("1 gr/gal as CaCO3", Analyte.Calcium)
            .High.MolesPerCubicMeter;
        Assert.Equal(
            asCarbonate,
            ReadConcentration.Of("1 gr/gal", Analyte.Calcium).High.MolesPerCubicMeter,
            1e-12
        );
        Assert.Equal(
            17.118 / 94.971,
            ReadConcentration.Of("1 gr/gal", Analyte.Phosphate).High.MolesPerCubicMeter,
            1e-3
        );
    }

    [Fact]
    public void Mean_and_last_digit_are_converted_as_the_ends_are()
    {
        Stated<MolarConcentration> stated = ReadConcentration.Of("40-55-71 mg/L", Analyte.Calcium);
        Assert.Equal(55 / 40.078, stated.Middle!.Value.MolesPerCubicMeter, 1e-9);
        Assert.Equal(1 / 40.078, stated.LastDigit, 1e-9);
        Assert.True(
            QuantityText.TryParseEquivalents(
                "t",
                "40-55-71 mg/L",
                Analyte.Calcium,
                out Stated<EquivalentConcentration> equivalents,
                out _
            )
        );
        Assert.Equal(2 * 55 / 40.078, equivalents.Middle!.Value.EquivalentsPerCubicMeter, 1e-9);
        Assert.Equal(2 / 40.078, equivalents.LastDigit, 1e-9);
    }

    [Fact]
    public void A_range_of_bare_numbers_keeps_its_lower_end()
    {
        Assert.True(QuantityText.TryParseNumber("pH", "6.5-7-7.8", 0, 14, out Stated<double> stated, out _));
        Assert.Equal((6.5, 7.0, 7.8), (stated.Low, stated.Middle!.Value, stated.High));
        Assert.False(QuantityText.TryParseNumber("pH", "-1-7", 0, 14, out _, out _));
    }

    [Fact]
    public void What_would_be_right_lists_equivalents_only_where_there_are_any()
    {
        Assert.Contains("meq/L, gr/gal, °dH, °fH", Refused(Analyte.Calcium), StringComparison.Ordinal);
        Assert.Contains("mg/L, µg/L, ppm, mmol/L, for", Refused(Analyte.Phosphate), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("1e306 bar")]
    [InlineData("-1e306 bar")]
    public void A_value_beyond_all_bounds_in_its_unit_is_refused(string text) =>
        Assert.False(QuantityText.TryParse("t", text, out Stated<Pressure> _, out _));

    [Theory]
    [InlineData(0)]
    [InlineData(-1)]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    public void Amounts_are_not_weighed_by_an_impossible_molar_mass(double molarMass) =>
        Assert.Contains(
            "must be a finite number above zero",
            Assert
                .Throws<ArgumentOutOfRangeException>(() =>
                    MolarConcentration.FromMolesPerCubicMeter(1).ToMass(molarMass)
                )
                .Message,
            StringComparison.Ordinal
        );

    [Fact]
    public void Numbers_of_atoms_may_have_two_digits() =>
        Assert.Equal(
            12 * ChemicalFormula.MolarMass("C") + 22 * ChemicalFormula.MolarMass("H"),
            ChemicalFormula.MolarMass("C12H22"),
            1e-15
        );

    [Fact]
    public void An_unknown_element_is_named()
    {
        ArgumentException problem = Assert.Throws<ArgumentException>(() => ChemicalFormula.MolarMass("Xx2"));
        Assert.Contains("'Xx' in 'Xx2'", problem.Message, StringComparison.Ordinal);
    }

    private static string Refused(Analyte analyte)
    {
        Assert.False(
            QuantityText.TryParseConcentration("t", "62 mg", analyte, out _, out InputProblem? problem)
        );
        return problem.Expected.ToString();
    }
}
