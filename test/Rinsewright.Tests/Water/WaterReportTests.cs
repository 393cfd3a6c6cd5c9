using Rinsewright.Tests.Evidence;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

public sealed class WaterReportTests
{
    // A reference water at 5 degC (key parkhurst2013), the tolerances of SpeciationEvidence and ConductanceEvidence.
    private static readonly DataTable.Row Reference = ReferenceWaters.Rows.Single(r =>
        r.Text("case") is "W08"
    );

    private static readonly WaterReport Report = WaterReport.Of(
        WaterText.Complete(
            """
            {
              "temperature": "5 degC", "pH": 7.4, "calcium": "104 mg/L", "magnesium": "5 mg/L", "sodium": "14 mg/L",
              "potassium": "1.8 mg/L", "bicarbonate": "270 mg/L", "chloride": "24.4 mg/L", "sulfate": "30 mg/L",
              "nitrate": "24 mg/L as NO3", "fluoride": "0.15 mg/L", "silica": "12.5 mg/L as SiO2"
            }
            """
        ),
        ActivityModel.TruesdellJones
    )!;

    [Theory]
    [InlineData(WaterFigure.PH, 7.4, 1e-9)]
    [InlineData(WaterFigure.Temperature, 5, 1e-9)]
    [InlineData(WaterFigure.Silica, 12.5, 1e-3)]
    // By atomic masses: 50.0435 mg/L of hardness or alkalinity a meq/L; the sum has bicarbonate as such, the residue as carbonate.
    [InlineData(WaterFigure.Hardness, 280.3, 0.1)]
    [InlineData(WaterFigure.Alkalinity, 221.4, 0.1)]
    [InlineData(WaterFigure.SumOfSolids, 485.85, 0.05)]
    [InlineData(WaterFigure.Residue180, 348.6, 0.1)]
    [InlineData(WaterFigure.ChargeBalance, 1.0, 0.02)]
    // Standard Methods 2330 B (key standardmethods, from memory): pK2 10.55, pKs 8.39, A 0.494 at 5 degC; put in by hand.
    [InlineData(WaterFigure.Langelier, 0.09, 0.03)]
    [InlineData(WaterFigure.Ryznar, 7.22, 0.06)]
    public void Figures_are_those_that_are_stated_or_counted_by_hand(
        WaterFigure figure,
        double expected,
        double tolerance
    ) => Assert.Equal(expected, Report.Quantile(figure, 0.5), tolerance);

    [Fact]
    public void Figures_are_those_of_the_reference_water()
    {
        double density = Reference.Number("density_kg_L");
        double strength = density * Reference.Number("ionic_strength_molkgw");
        double dioxide = density * 44_009.5 * Reference.Number("m_CO2aq");
        Near(strength, WaterFigure.IonicStrength, 0.022 * strength);
        Near(dioxide, WaterFigure.CarbonDioxide, 0.02 * dioxide);
        Near(Reference.Number("SI_calcite"), WaterFigure.Calcite, 0.05);
        Near(Reference.Number("SI_aragonite"), WaterFigure.Aragonite, 0.05);
        Near(Reference.Number("SI_gypsum"), WaterFigure.Gypsum, 0.07);
        Near(Reference.Number("SI_SiO2a"), WaterFigure.AmorphousSilica, 0.02);
        Near(100.09 * Reference.Number("CCPP_mmol_per_L"), WaterFigure.CalcitePotential, 2.2);
        Near(Reference.Number("SC_25C_uS_cm"), WaterFigure.Conductivity25, 0.05 * 620);
        Near(Reference.Number("SC_at_T_uS_cm"), WaterFigure.Conductivity, 0.05 * 369);

        static void Near(double expected, WaterFigure figure, double tolerance) =>
            Assert.Equal(expected, Report.Quantile(figure, 0.5), tolerance);
    }

    [Fact]
    public void A_full_analysis_leaves_no_figure_open_and_a_pocket_reading_most()
    {
        WaterReport pocket = Pocket();
        Assert.All(Enum.GetValues<WaterFigure>(), figure => Assert.False(Report.IsOpen(figure)));
        Assert.True(pocket.IsOpen(WaterFigure.Hardness));
        Assert.True(pocket.IsOpen(WaterFigure.Gypsum));
        Assert.False(pocket.IsOpen(WaterFigure.Temperature));
    }

    [Fact]
    public void Between_two_members_a_quantile_lies_in_proportion()
    {
        WaterReport pocket = Pocket();
        double least = pocket.Quantile(WaterFigure.Hardness, 0);
        double next = pocket.Quantile(WaterFigure.Hardness, 1.0 / 63);
        Assert.True(least < next);
        Assert.Equal(
            (0.75 * least) + (0.25 * next),
            pocket.Quantile(WaterFigure.Hardness, 0.25 / 63),
            1e-9 * next
        );
        Assert.Equal(
            pocket.Source.Members.Max(m => 100.0869 * (m[Component.Calcium] + m[Component.Magnesium])),
            pocket.Quantile(WaterFigure.Hardness, 1),
            1e-6
        );
    }

    private static WaterReport Pocket() =>
        WaterReport.Of(
            WaterText.Complete("""{ "temperature": "15 degC", "tds": { "reading": "120 ppm" } }"""),
            ActivityModel.TruesdellJones
        )!;
}
