using CsCheck;
using Rinsewright.Drying;
using Rinsewright.Tests.Evidence;
using Rinsewright.Water;

namespace Rinsewright.Tests.Drying;

public sealed class DryDownTests
{
    /// <summary>Any fresh water whose alkalinity is what its strong ions leave, acid ones included.</summary>
    private static readonly Gen<WaterComposition> Waters = Gen.Select(
        Gen.Double[0, 5].Array[IonCatalog.ComponentCount],
        Gen.Double[-0.1, 0.1],
        Gen.Double[-5, 0],
        Gen.Double[1, 44],
        (amounts, residual, strength, celsius) =>
        {
            double[] totals = [.. amounts.Select(a => a * a * Math.Pow(10, strength))];
            double scarce = 0.01;
            foreach (
                Component c in (Component[])
                    [
                        Component.Iron,
                        Component.Manganese,
                        Component.Strontium,
                        Component.Barium,
                        Component.Phosphate,
                    ]
            )
            {
                totals[(int)c] *= scarce;
            }

            return new WaterComposition(
                totals,
                residual * totals[0],
                celsius + PhysicalConstants.ZeroCelsius
            );
        }
    );

    [Fact]
    public void Nothing_is_lost_from_any_water()
    {
        Waters
            .Repeat()
            .Sample(
                water =>
                {
                    DryDown dried = DryDown.Of(water);
                    Assert.Equal(DryDownStatus.Dried, dried.Status);
                    foreach (Component component in Enum.GetValues<Component>())
                    {
                        if (component == Component.InorganicCarbon)
                        {
                            continue;
                        }

                        double found =
                            dried.ToAir[(int)component]
                            + dried.Unpaired[(int)component]
                            + dried.Residue.Sum(r =>
                                r.MolesPerCubicMeter * Formulas.Count(r.Solid, component)
                            );
                        Assert.Equal(
                            water[component],
                            found,
                            1e-12 * Math.Max(1e-6, water.Totals.ToArray().Sum())
                        );
                    }
                },
                iter: 60,
                threads: 1
            );
    }

    [Fact]
    public void A_balanced_water_leaves_no_ion_without_a_partner()
    {
        foreach ((string _, WaterComposition feed, List<Evidence.DataTable.Row> _) in DryDownEvidence.Cases())
        {
            DryDown dried = DryDown.Of(feed);
            Assert.True(dried.UnpairedMilligramsPerLiter < 1e-4 * dried.SoftMilligramsPerLiter);
        }
    }

    [Fact]
    public void Molar_masses_are_those_of_the_formulas()
    {
        foreach (ResidueSolid solid in ResidueSolid.All)
        {
            Assert.Equal(Formulas.Mass(solid), solid.MolarMassGramsPerMole, 0.02);
        }
    }

    [Fact]
    public void Pure_water_leaves_nothing()
    {
        DryDown dried = DryDown.Of(new WaterComposition(new double[IonCatalog.ComponentCount], 0, 298.15));
        Assert.Equal(DryDownStatus.Dried, dried.Status);
        Assert.Empty(dried.Residue);
        Assert.Equal(SpotGrade.None, SpotIndex.Of(dried).Grade);
    }

    [Fact]
    public void Twice_as_dilute_a_water_leaves_half()
    {
        foreach ((string _, WaterComposition feed, List<Evidence.DataTable.Row> _) in DryDownEvidence.Cases())
        {
            double once = SpotIndex.Of(DryDown.Of(feed)).MilligramsPerSquareMeter;
            double half = SpotIndex.Of(DryDown.Of(feed.Concentrated(0.5))).MilligramsPerSquareMeter;
            Assert.Equal(0.5, half / once, 0.005);
        }
    }

    [Fact]
    public void Silica_of_an_otherwise_empty_water_is_all_hard_residue()
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Silica] = 0.2;
        DryDown dried = DryDown.Of(new WaterComposition(totals, 0, 298.15));
        ResidueItem silica = Assert.Single(dried.Residue);
        Assert.Same(ResidueSolid.Silica, silica.Solid);
        Assert.Equal(0.2, silica.MolesPerCubicMeter, 1e-12);
        Assert.Equal(RemovalClass.Etches, silica.Solid.Removal);
        // 10^-2.71 mol/kg of H4SiO4 at saturation (key ball1991): 1.95 mmol/kg over 0.2.
        Assert.InRange(silica.OnsetFactor!.Value, 9, 10.5);
    }

    [Fact]
    public void Acid_left_by_a_spent_anion_bed_leaves_sulfuric_acid_and_lets_hydrochloric_go()
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Chloride] = 1;
        totals[(int)Component.Sulfate] = 0.5;
        DryDown dried = DryDown.Of(new WaterComposition(totals, 0, 298.15));
        ResidueItem acid = Assert.Single(dried.Residue);
        Assert.Equal("sulfuric-acid", acid.Solid.Key);
        Assert.Equal(0.5, acid.MolesPerCubicMeter, 1e-12);
        Assert.Equal(1, dried.ToAir[(int)Component.Chloride], 1e-12);
    }

    [Fact]
    public void Ammonia_goes_with_the_alkalinity_and_stays_with_chloride()
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Ammonium] = 1;
        totals[(int)Component.Chloride] = 0.4;
        DryDown dried = DryDown.Of(new WaterComposition(totals, 0, 298.15));
        Assert.Equal("salammoniac", Assert.Single(dried.Residue).Solid.Key);
        Assert.Equal(0.6, dried.ToAir[(int)Component.Ammonium], 1e-12);
    }

    [Fact]
    public void A_dry_down_takes_at_most_the_speciations_that_its_budget_allows()
    {
        foreach ((string _, WaterComposition feed, List<Evidence.DataTable.Row> _) in DryDownEvidence.Cases())
        {
            Assert.InRange(DryDown.Of(feed).Speciations, 1, 130);
        }
    }

    [Fact]
    public void The_index_by_salts_alone_is_nearly_that_of_the_followed_brine()
    {
        const double FluorideShare = 0.02; // beyond, calcium fluoride takes calcium that the brine has given to other solids
        List<double> distances = [];
        Waters
            .Repeat()
            .Sample(
                any =>
                {
                    WaterComposition water = any.With(
                        Component.Fluoride,
                        FluorideShare * any[Component.Fluoride],
                        any.ChargeResidual
                    );
                    double followed = SpotIndex.Of(DryDown.Of(water)).MilligramsPerSquareMeter;
                    double bySalts = SpotIndex.BySalts(water).MilligramsPerSquareMeter;
                    distances.Add(Math.Abs(followed - bySalts) / Math.Max(0.2, followed));
                },
                iter: 300,
                threads: 1
            );
        double[] ranked = [.. distances.WorstLast()];
        Assert.InRange(ranked[285], 0, 0.02);
        Assert.InRange(ranked[299], 0, 0.25);
    }

    [Fact]
    public void The_index_by_salts_alone_allocates_nothing()
    {
        WaterComposition water = DryDownEvidence.Cases().First().Feed;
        double sum = SpotIndex.BySalts(water).MilligramsPerSquareMeter;
        long before = GC.GetAllocatedBytesForCurrentThread();
        sum -= SpotIndex.BySalts(water).MilligramsPerSquareMeter;
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
        Assert.Equal(0, sum);
    }

    [Fact]
    public void Phosphate_does_not_stop_the_last_calcite()
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Calcium] = 2;
        totals[(int)Component.Nitrate] = 1;
        totals[(int)Component.Phosphate] = 0.03;
        DryDown dried = DryDown.Of(new WaterComposition(totals, 0, 298.15));
        Assert.Equal(DryDownStatus.Dried, dried.Status);
        Assert.InRange(dried.Path[^1].IonicStrength, 0.9 * DryDown.CutOffStrength, DryDown.CutOffStrength);
    }

    [Fact]
    public void A_solution_started_from_the_last_one_is_that_started_afresh()
    {
        var afresh = new SpeciationSolver();
        var again = new SpeciationSolver { StartsFromLast = true };
        var expected = new Speciation();
        var found = new Speciation();
        foreach ((string _, WaterComposition feed, List<Evidence.DataTable.Row> _) in DryDownEvidence.Cases())
        {
            foreach (double factor in (double[])[1, 30, 2, 10])
            {
                WaterComposition brine = feed.Concentrated(factor);
                afresh.Solve(brine, brine.Open(SourceWater.AirCarbonDioxide), expected);
                again.Solve(brine, brine.Open(SourceWater.AirCarbonDioxide), found);
                Assert.Equal(SpeciationStatus.Solved, found.Status);
                Assert.Equal(expected.PH, found.PH, 1e-9);
                Assert.Equal(1, found.IonicStrength / expected.IonicStrength, 1e-9);
            }
        }
    }

    [Fact]
    public void Every_solid_says_how_it_comes_off_and_why()
    {
        Assert.All(ResidueSolid.All, s => Assert.NotEmpty(s.Reason));
        Assert.True(ResidueSolid.Silica.IsHard && ResidueSolid.Calcite.IsHard && ResidueSolid.Gypsum.IsHard);
        Assert.False(ResidueSolid.Of("halite").IsHard);
    }

    [Theory]
    [InlineData("20 mg/m2", 20)]
    [InlineData(" 7.5mg/m² ", 7.5)]
    public void A_line_of_residue_is_read(string text, double expected)
    {
        Assert.True(SpotIndex.TryParseLine(text, out double line));
        Assert.Equal(expected, line);
    }

    [Theory]
    [InlineData("20 ppm")]
    [InlineData("mg/m2")]
    [InlineData("-3 mg/m2")]
    [InlineData("0 mg/m2")]
    [InlineData("")]
    public void Other_texts_are_not_lines_of_residue(string text) =>
        Assert.False(SpotIndex.TryParseLine(text, out _));

    [Fact]
    public void No_text_makes_the_line_parser_throw() =>
        Gen
            .String.Repeat()
            .Sample(text =>
            {
                if (SpotIndex.TryParseLine(text + SpotIndex.Unit, out double line))
                {
                    Assert.True(line > 0);
                }
            });
}
