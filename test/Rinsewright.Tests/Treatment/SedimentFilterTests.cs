using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Tests.Treatment;

public sealed class SedimentFilterTests
{
    private static readonly Temperature Cool = Temperature.FromDegreesCelsius(12.0);
    private static readonly SedimentFilter Filter = new();

    [Fact]
    public void The_loss_stands_at_the_limit_when_the_life_ends()
    {
        MassConcentration solids = MassConcentration.FromMilligramsPerLiter(0.8);
        VolumeFlow flow = VolumeFlow.FromLitersPerMinute(6.0);
        Pressure limit = Pressure.FromKilopascals(50.0);
        Volume life = Filter.LifeTo(solids, flow, limit, Cool)!.Value;
        MeasuredLoss worn = Filter.Element("sediment", Filter.Held(solids, life));
        Assert.Equal(50e3, worn.Loss_Pa(flow.CubicMetersPerSecond, FlowingWater.At(Cool)), 1e-3);
    }

    [Fact]
    public void Twice_the_solids_halve_the_life_and_clean_water_never_clogs_it()
    {
        VolumeFlow flow = VolumeFlow.FromLitersPerMinute(10.0);
        Volume one = Filter
            .LifeTo(MassConcentration.FromMilligramsPerLiter(1.0), flow, Filter.FullLoss, Cool)!
            .Value;
        Volume two = Filter
            .LifeTo(MassConcentration.FromMilligramsPerLiter(2.0), flow, Filter.FullLoss, Cool)!
            .Value;
        Assert.Equal(one.Liters, 2.0 * two.Liters, 6);
        Assert.Null(
            Filter.LifeTo(MassConcentration.FromMilligramsPerLiter(0.0), flow, Filter.FullLoss, Cool)
        );
    }

    [Fact]
    public void A_limit_below_the_clean_loss_leaves_no_life()
    {
        Volume? life = Filter.LifeTo(
            MassConcentration.FromMilligramsPerLiter(1.0),
            VolumeFlow.FromLitersPerMinute(20.0),
            Pressure.FromKilopascals(5.0),
            Cool
        );
        Assert.Equal(0.0, life!.Value.Liters);
    }
}
