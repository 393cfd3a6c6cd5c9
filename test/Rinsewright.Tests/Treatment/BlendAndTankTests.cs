using CsCheck;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment;

public sealed class BlendAndTankTests
{
    private static readonly StorageTank Tank = new(Volume.FromLiters(200.0), 0.25);

    [Fact]
    public void A_blend_holds_what_its_parts_bring()
    {
        Gen.Select(TrainWaters.Any, TrainWaters.Any, Gen.Double[0.0, 1.0])
            .Repeat()
            .Sample(
                (one, other, share) =>
                {
                    WaterComposition mixed = Blend.Mix(one, share, other);
                    foreach (Component component in Enum.GetValues<Component>())
                    {
                        double expected = (share * one[component]) + ((1.0 - share) * other[component]);
                        Assert.Equal(expected, mixed[component], 1e-12);
                    }
                }
            );
    }

    [Fact]
    public void Deionised_water_in_a_tank_takes_up_carbon_dioxide_and_ends_in_balance_with_the_air()
    {
        var pure = new WaterComposition(new double[IonCatalog.ComponentCount], 0.0, 298.15);
        WaterComposition later = Tank.AfterStanding(pure, TimeSpan.FromHours(6.0))!;
        WaterComposition muchLater = Tank.AfterStanding(pure, TimeSpan.FromDays(60.0))!;
        Speciation end = TrainWaters.Speciate(muchLater);
        Assert.InRange(later[Component.InorganicCarbon], 1e-4, 0.9 * muchLater[Component.InorganicCarbon]);
        Assert.Equal(-3.38, end.LogCarbonDioxidePressure, 0.01);
        Assert.InRange(end.PH, 5.5, 5.7);
    }

    [Fact]
    public void Water_with_more_carbon_dioxide_than_the_air_gives_it_off_and_nothing_else()
    {
        WaterComposition permeate = new ReverseOsmosis().Treat(TrainWaters.Hard)!.Permeate;
        WaterComposition later = Tank.AfterStanding(permeate, TimeSpan.FromHours(24.0))!;
        Assert.True(later[Component.InorganicCarbon] < permeate[Component.InorganicCarbon]);
        Assert.Equal(permeate[Component.Calcium], later[Component.Calcium]);
        Assert.True(TrainWaters.Speciate(later).PH > TrainWaters.Speciate(permeate).PH);
    }

    [Fact]
    public void Half_the_time_twice_is_the_whole_time()
    {
        WaterComposition permeate = new ReverseOsmosis().Treat(TrainWaters.Hard)!.Permeate;
        WaterComposition once = Tank.AfterStanding(permeate, TimeSpan.FromHours(20.0))!;
        WaterComposition half = Tank.AfterStanding(permeate, TimeSpan.FromHours(10.0))!;
        WaterComposition twice = Tank.AfterStanding(half, TimeSpan.FromHours(10.0))!;
        Assert.Equal(once[Component.InorganicCarbon], twice[Component.InorganicCarbon], 1e-4);
    }
}
