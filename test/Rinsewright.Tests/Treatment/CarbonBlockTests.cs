using CsCheck;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Tests.Treatment;

public sealed class CarbonBlockTests
{
    private static readonly Temperature Warm = Temperature.FromDegreesCelsius(25.0);
    private static readonly VolumeFlow Gentle = VolumeFlow.FromLitersPerMinute(4.0);
    private static readonly CarbonBlock Block = new(Volume.FromLiters(1.5));

    private static Oxidants Free(double mg_L) => new(Milligrams(mg_L), Milligrams(0.0));

    private static Oxidants Combined(double mg_L) => new(Milligrams(0.0), Milligrams(mg_L));

    private static MassConcentration Milligrams(double mg_L) =>
        MassConcentration.FromMilligramsPerLiter(mg_L);

    [Fact]
    public void Fresh_carbon_halves_chlorine_over_each_half_value_depth()
    {
        Gen.Double[0.5, 8.0]
            .Repeat()
            .Sample(halvings =>
            {
                double seconds = halvings * double.Log(2.0) / Block.FreeChlorineRate_1_s(Warm, 7.0);
                VolumeFlow flow = VolumeFlow.FromCubicMetersPerSecond(1.5e-3 / seconds);
                Oxidants outlet = Block.Outlet(Free(1.0), Volume.FromLiters(0.0), flow, Warm, 7.0);
                double expected = double.Pow(2.0, -halvings);
                return double.Abs(outlet.FreeChlorine.MilligramsPerLiter - expected) < 1e-12;
            });
    }

    [Fact]
    public void Carbon_takes_no_more_chlorine_than_its_sites_hold_and_in_the_end_takes_all_of_that()
    {
        double capacity_mg = 0.6 * 550.0 * 1.5 * 1000.0;
        double taken_mg = 0.0;
        double end_L = 4.0 * capacity_mg / 2.0;
        double step_L = end_L / 20000.0;
        for (int i = 0; i < 20000; i++)
        {
            Volume middle = Volume.FromLiters((i + 0.5) * step_L);
            Oxidants outlet = Block.Outlet(Free(2.0), middle, Gentle, Warm, 7.0);
            taken_mg += step_L * (2.0 - outlet.FreeChlorine.MilligramsPerLiter);
        }

        Assert.Equal(capacity_mg, taken_mg, capacity_mg * 1e-6);
    }

    [Fact]
    public void Chlorine_reaches_the_line_just_when_the_life_ends()
    {
        Gen.Select(Gen.Double[0.3, 4.0], Gen.Double[0.05, 0.9], Gen.Double[1.0, 15.0], Gen.Double[5.0, 30.0])
            .Repeat()
            .Sample(
                (inlet, share, flow, celsius) =>
                {
                    VolumeFlow q = VolumeFlow.FromLitersPerMinute(flow);
                    Temperature t = Temperature.FromDegreesCelsius(celsius);
                    Volume? life = Block.LifeTo(Free(inlet), Milligrams(share * inlet), q, t, 7.5);
                    double leaving = Block
                        .Outlet(Free(inlet), life!.Value, q, t, 7.5)
                        .FreeChlorine.MilligramsPerLiter;
                    return life.Value.Liters == 0.0
                        ? leaving >= share * inlet
                        : double.Abs(leaving - (share * inlet)) < 1e-6 * inlet;
                }
            );
    }

    [Fact]
    public void Chloramine_breaks_through_long_before_free_chlorine()
    {
        MassConcentration line = Milligrams(0.1);
        Volume? free = Block.LifeTo(Free(1.0), line, Gentle, Warm, 7.5);
        Volume? combined = Block.LifeTo(Combined(1.0), line, Gentle, Warm, 7.5);
        Assert.True(combined < free);
    }

    [Fact]
    public void Cold_alkaline_or_fast_water_wears_the_same_carbon_sooner()
    {
        MassConcentration line = Milligrams(0.05);
        Volume? easy = Block.LifeTo(Free(1.0), line, Gentle, Warm, 7.0);
        Assert.True(Block.LifeTo(Free(1.0), line, Gentle, Temperature.FromDegreesCelsius(5.0), 7.0) < easy);
        Assert.True(Block.LifeTo(Free(1.0), line, Gentle, Warm, 9.0) < easy);
        Assert.True(Block.LifeTo(Free(1.0), line, VolumeFlow.FromLitersPerMinute(8.0), Warm, 7.0) < easy);
    }

    [Fact]
    public void Water_without_disinfectant_sets_no_end_to_the_carbon()
    {
        Assert.Null(Block.LifeTo(Free(0.0), Milligrams(0.1), Gentle, Warm, 7.0));
        Assert.Equal(
            0.0,
            Block.Outlet(Free(0.0), Volume.FromLiters(1e5), Gentle, Warm, 7.0).Total.MilligramsPerLiter
        );
    }

    [Fact]
    public void One_milligram_of_chlorine_leaves_fourteen_micromoles_of_chloride()
    {
        (double chloride, double none) = Block.Products(Free(1.0), Free(0.0));
        (double alike, double ammonium) = Block.Products(Combined(1.0), Combined(0.0));
        Assert.Equal(0.0141, chloride, 4);
        Assert.Equal(0.0, none);
        Assert.Equal(chloride, alike, 12);
        Assert.Equal(chloride, ammonium, 12);
    }

    [Fact]
    public void The_rate_doubles_over_twenty_kelvins_about_room_temperature()
    {
        double ratio =
            Block.TemperatureFactor(Temperature.FromDegreesCelsius(35.0))
            / Block.TemperatureFactor(Temperature.FromDegreesCelsius(15.0));
        Assert.Equal(2.0, ratio, 12);
    }
}
