using CsCheck;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment;

public sealed class ReverseOsmosisTests
{
    private static readonly ReverseOsmosis Membrane = new();

    [Fact]
    public void Permeate_and_brine_together_are_the_feed()
    {
        Gen.Select(TrainWaters.Any, Gen.Double[0.05, 0.8], Gen.Double[1.5, 10.0])
            .Repeat()
            .Sample(
                (feed, recovery, bar) =>
                {
                    ReverseOsmosis membrane = Membrane with
                    {
                        Recovery = recovery,
                        FeedPressure = Pressure.FromBars(bar),
                    };
                    ReverseOsmosisResult result = membrane.Treat(feed)!;
                    for (int i = 0; i < IonCatalog.ComponentCount; i++)
                    {
                        double sum =
                            (recovery * result.Permeate.Totals[i])
                            + ((1.0 - recovery) * result.Brine.Totals[i]);
                        Assert.Equal(feed.Totals[i], sum, 1e-9 * (feed.Totals[i] + 1e-9));
                    }
                },
                iter: 40
            );
    }

    [Fact]
    public void A_tight_membrane_at_the_osmotic_difference_gives_no_permeate_and_a_little_more_gives_some()
    {
        WaterComposition feed = TrainWaters.Hard;
        ReverseOsmosis tight = Membrane with
        {
            SaltPermeability_m_s = 0.0,
            Recovery = 1e-3,
            ChannelLoss = Pressure.FromPascals(0.0),
        };
        Temperature temperature = Temperature.FromKelvins(feed.TemperatureKelvin);
        var solutes = TrainWaters.Solutes(feed);
        double mean = ReverseOsmosis.MeanConcentrationFactor(1e-3);
        double osmotic = ReverseOsmosis.OsmoticPressure_Pa(
            mean * solutes.Sum(s => s.Feed_mol_m3),
            temperature
        );
        Assert.Equal(
            0.0,
            (tight with { FeedPressure = Pressure.FromPascals(osmotic * (1 - 1e-12)) }).Flux(
                solutes,
                temperature
            )
        );
        double above = (tight with { FeedPressure = Pressure.FromPascals(1.01 * osmotic) }).Flux(
            solutes,
            temperature
        );
        Assert.InRange(above, 1e-12, 0.01 * osmotic * Membrane.WaterPermeability_m_s_Pa);
    }

    [Fact]
    public void Carbon_dioxide_passes_and_salt_does_not_so_permeate_is_more_acid_than_its_feed()
    {
        ReverseOsmosisResult result = Membrane.Treat(TrainWaters.Hard)!;
        Speciation feed = TrainWaters.Speciate(TrainWaters.Hard);
        Speciation permeate = TrainWaters.Speciate(result.Permeate);
        Assert.Equal(feed.CarbonDioxide, permeate.CarbonDioxide, 0.02 * feed.CarbonDioxide);
        Assert.InRange(permeate.Alkalinity, 0.005 * feed.Alkalinity, 0.15 * feed.Alkalinity);
        Assert.True(permeate.PH < feed.PH - 0.7);
    }

    [Fact]
    public void Doubly_charged_ions_are_held_back_better_than_nitrate()
    {
        ReverseOsmosisResult result = Membrane.Treat(TrainWaters.Hard)!;
        double Passage(Component c) => result.Permeate[c] / TrainWaters.Hard[c];
        Assert.True(Passage(Component.Calcium) < Passage(Component.Sodium));
        Assert.True(Passage(Component.Sulfate) < Passage(Component.Chloride));
        Assert.True(Passage(Component.Chloride) < Passage(Component.Nitrate));
    }

    [Fact]
    public void Warmer_water_and_more_pressure_give_more_permeate()
    {
        double flow = Membrane.Treat(TrainWaters.Hard)!.PermeateFlow.LitersPerHour;
        double warm = Membrane.Treat(TrainWaters.Hard.AtTemperature(303.15))!.PermeateFlow.LitersPerHour;
        double pressed = (Membrane with { FeedPressure = Pressure.FromBars(6.0) })
            .Treat(TrainWaters.Hard)!
            .PermeateFlow.LitersPerHour;
        Assert.True(warm > flow);
        Assert.True(pressed > flow);
    }

    [Fact]
    public void At_the_scaling_limit_the_first_solid_just_saturates()
    {
        double limit = Membrane.ScalingLimit(TrainWaters.Soft);
        Assert.InRange(limit, 0.02, 0.949);
        Scaling scaling = (Membrane with { Recovery = limit }).Treat(TrainWaters.Soft)!.Scaling!;
        Assert.Equal(0.0, scaling.Worst, 3e-3);
    }

    [Fact]
    public void The_mean_of_the_channel_of_a_leaky_membrane_lies_between_feed_and_the_tight_one_s()
    {
        Gen.Select(Gen.Double[0.01, 0.95], Gen.Double[0.001, 0.999])
            .Repeat()
            .Sample(
                (recovery, passage) =>
                    ReverseOsmosis.MeanConcentrationFactor(recovery, passage) > 1.0
                    && ReverseOsmosis.MeanConcentrationFactor(recovery, passage)
                        < ReverseOsmosis.MeanConcentrationFactor(recovery)
            );
    }
}
