using Rinsewright.Forecasting;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Tests.Forecasting;

public sealed class WearForecastTests
{
    private static readonly VolumeFlow Flow = VolumeFlow.FromLitersPerMinute(4);
    private static readonly Temperature Cool = Temperature.FromDegreesCelsius(15);

    private static CarbonCase Carbon(double logged, params ChlorineReading[] readings) =>
        new()
        {
            Carbon = new CarbonBlock(Volume.FromLiters(5)),
            Inlet = new Oxidants(MassConcentration.FromMilligramsPerLiter(0.8), default),
            InletSd = 0.5,
            PH = 7.5,
            Line = CarbonBlock.UsualLine,
            Flow = Flow,
            Temperature = Cool,
            LoggedLiters = logged,
            Readings = [.. readings],
            Usage = new Usage(200),
        };

    private static SedimentCase Sediment(double logged, params LossReading[] readings) =>
        new()
        {
            Filter = new SedimentFilter(),
            Temperature = Cool,
            LoggedLiters = logged,
            Readings = [.. readings],
            Usage = new Usage(200),
        };

    [Fact]
    public void Without_readings_the_middle_of_the_range_is_the_life_that_the_model_gives()
    {
        CarbonCase carbon = Carbon(0);
        double life = carbon.Carbon.LifeTo(carbon.Inlet, carbon.Line, Flow, Cool, carbon.PH)!.Value.Liters;
        Band found = CarbonForecast.Of(carbon, 4000, 1).Liters;
        Assert.InRange(found.Median, 0.85 * life, 1.15 * life);
        Assert.InRange(found.P95 / found.P05, 3, 60);
    }

    [Fact]
    public void A_strip_that_shows_chlorine_behind_the_carbon_ends_it()
    {
        double life = CarbonForecast.Of(Carbon(0), 2000, 1).Liters.Median;
        double logged = 0.5 * life;
        double quiet = CarbonForecast
            .Of(Carbon(logged, new ChlorineReading(logged, ReadingSide.Outlet, 0.05, IsBelow: true)), 2000, 1)
            .PassedNow;
        double spent = CarbonForecast
            .Of(
                Carbon(
                    logged,
                    new ChlorineReading(0.9 * logged, ReadingSide.Outlet, 0.25),
                    new ChlorineReading(logged, ReadingSide.Outlet, 0.3)
                ),
                2000,
                1
            )
            .PassedNow;
        Assert.InRange(quiet, 0, 0.1);
        Assert.InRange(spent, 0.9, 1);
    }

    [Fact]
    public void Water_with_twice_the_chlorine_halves_what_is_believed_of_the_carbon()
    {
        StageOutlook weak = CarbonForecast.Of(Carbon(0, Inlets(0.8)), 4000, 3);
        StageOutlook strong = CarbonForecast.Of(Carbon(0, Inlets(1.6)), 4000, 3);
        Assert.InRange(strong.Liters.Median / weak.Liters.Median, 0.42, 0.6);
        Assert.True(weak.Liters.P95 / weak.Liters.P05 < 8);

        static ChlorineReading[] Inlets(double shown) =>
            [.. Enumerable.Range(0, 12).Select(_ => new ChlorineReading(0, ReadingSide.Inlet, shown))];
    }

    [Fact]
    public void Pressures_narrow_what_is_known_of_a_cartridge_and_find_its_life()
    {
        SedimentFilter filter = new() { CleanLoss = Pressure.FromKilopascals(15) };
        MassConcentration solids = MassConcentration.FromMilligramsPerLiter(0.8);
        FlowingWater water = FlowingWater.At(Cool);
        VolumeFlow flow = filter.RatedFlow;
        LossReading At(double liters) =>
            new(
                liters,
                Pressure.FromPascals(
                    filter
                        .Element("", filter.Held(solids, Volume.FromLiters(liters)))
                        .Loss_Pa(flow.CubicMetersPerSecond, water)
                ),
                flow
            );
        double truth = filter
            .LifeTo(solids, flow, filter.FullLoss, Temperature.FromDegreesCelsius(20))!
            .Value.Liters;
        double now = 0.6 * truth;
        double[] read = [0, 0.2 * truth, 0.4 * truth, now];
        StageOutlook before = SedimentForecast.Of(Sediment(0), 2000, 2);
        StageOutlook after = SedimentForecast.Of(Sediment(now, [.. read.Select(At)]), 2000, 2);
        Assert.True(before.Liters.P95 / before.Liters.P05 > 10);
        Assert.InRange(truth - now, after.Liters.P05, after.Liters.P95);
        Assert.InRange(after.Liters.P95 - after.Liters.P05, 0, 0.8 * truth);
        Assert.InRange(after.PassedNow, 0, 0.05);
    }

    [Fact]
    public void The_same_seed_gives_the_same_answer()
    {
        StageOutlook one = SedimentForecast.Of(Sediment(500), 300, 9);
        Assert.Equal(one.LitersLeft.AsSpan(), SedimentForecast.Of(Sediment(500), 300, 9).LitersLeft.AsSpan());
        Assert.Equal(
            CarbonForecast.Of(Carbon(500), 300, 9).WeeksLeft.AsSpan(),
            CarbonForecast.Of(Carbon(500), 300, 9).WeeksLeft.AsSpan()
        );
    }
}
