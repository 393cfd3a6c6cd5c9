using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment;

/// <summary>What each stage of a train has to bear: flow, water of a week, running hours, and what it costs when it cannot.</summary>
public sealed class TrainDutyTests
{
    private static readonly Habit Week = new(
        "week",
        10.0,
        [
            new WashTask("foam", Liters(5.0), PerMinute(6.0), 10.0, Outlet.Carbon, DriesOnPanel: false),
            new WashTask("rinse", Liters(25.0), PerMinute(5.0), 10.0, Outlet.Deionised, DriesOnPanel: true),
        ]
    );

    private static readonly SedimentStage Sediment = new("sediment", new SedimentFilter());
    private static readonly TankStage Tank = new("tank", new StorageTank(Liters(100.0), 0.1));
    private static readonly BlendStage Membrane = Around(0.0);

    private static OsmosisStage Osmosis =>
        new("osmosis", new ReverseOsmosis { FeedPressure = Pressure.FromBars(6.0) }) { Boosted = true };

    private static BlendStage Around(double share) => new("blend", share, Osmosis);

    private static Volume Liters(double liters) => Volume.FromLiters(liters);

    private static VolumeFlow PerMinute(double liters) => VolumeFlow.FromLitersPerMinute(liters);

    private static BedStage Softener(double liters, double bore_mm = 150.0) =>
        new(
            "softener",
            [
                new ExchangeBed(
                    Liters(liters),
                    Length.FromMillimeters(bore_mm),
                    new Resin(ResinKind.StrongCation, 1.0).WithForm((Component.Sodium, 1.0))
                ),
            ],
            BedArrangement.Series,
            ExitLine.Softened
        );

    private static TrainReport Walk(WaterComposition water, params Stage[] stages) =>
        new Train([.. stages]).Walk(
            new TrainWater(
                water,
                new Oxidants(MassConcentration.FromMilligramsPerLiter(0.05), default),
                MassConcentration.FromMilligramsPerLiter(0.3)
            ),
            Week,
            rests: false,
            cancellation: TestContext.Current.CancellationToken
        )!;

    [Fact]
    public void A_by_pass_of_nothing_around_a_membrane_asks_of_every_stage_what_the_membrane_alone_asks()
    {
        TrainReport plain = Walk(TrainWaters.Soft, Sediment, Softener(1.0), Osmosis, Tank);
        TrainReport blend = Walk(TrainWaters.Soft, Sediment, Softener(1.0), Membrane, Tank);
        Assert.Equal(plain.Stages.Select(s => s.Duty), blend.Stages.Select(s => s.Duty));
        Assert.Equal(plain.Stages[1].Life, blend.Stages[1].Life);
        Assert.True(plain.Electricity_kWh > 0.0);
        Assert.Equal(plain.Electricity_kWh, blend.Electricity_kWh, 1e-12);
        Assert.Equal(plain.Utility_m3, blend.Utility_m3, 1e-12);
    }

    [Fact]
    public void A_by_pass_around_a_membrane_leaves_it_its_pace_and_takes_its_share_off_the_feed_and_the_running_hours()
    {
        const double Share = 0.3;
        TrainReport plain = Walk(TrainWaters.Soft, Sediment, Osmosis, Tank);
        TrainReport blend = Walk(TrainWaters.Soft, Sediment, Around(Share), Tank);
        Assert.Equal((1.0 - Share) * plain.Electricity_kWh, blend.Electricity_kWh, 1e-9);
        double recovery = Osmosis.Membrane.Recovery;
        double weekly = Week.Weekly_m3(Outlet.Deionised);
        double fed = (Share * weekly) + ((1.0 - Share) * weekly / recovery);
        Assert.Equal(fed + Week.Weekly_m3(Outlet.Carbon), blend.Stages[0].Duty.Weekly_m3, 1e-12);
        double permeate = Osmosis.Membrane.Treat(TrainWaters.Soft)!.PermeateFlow.CubicMetersPerSecond;
        Assert.Equal(permeate / (1.0 - Share), blend.Stages[1].Duty.Flow.CubicMetersPerSecond, 1e-12);
        Assert.Equal(blend.Utility_m3, blend.Stages[0].Duty.Weekly_m3, 1e-12);
    }

    [Fact]
    public void Between_membrane_and_tank_water_flows_at_the_membrane_s_pace_and_behind_the_tank_at_the_tools()
    {
        TrainReport report = Walk(TrainWaters.Soft, Osmosis, Softener(0.5), Tank, Softener(0.5));
        VolumeFlow permeate = Osmosis.Membrane.Treat(TrainWaters.Soft)!.PermeateFlow;
        Assert.Equal(permeate, report.Stages[1].Duty.Flow);
        Assert.Equal(5.0, report.Stages[2].Duty.Flow.LitersPerMinute, 1e-9);
        Assert.Equal(5.0, report.Stages[3].Duty.Flow.LitersPerMinute, 1e-9);
        Assert.Equal(permeate, Walk(TrainWaters.Soft, Osmosis, Softener(0.5)).Stages[1].Duty.Flow);
    }

    [Fact]
    public void A_softener_ends_at_its_line_however_caustic_its_feed_is()
    {
        WaterComposition feed = TrainWaters.Hard;
        WaterComposition caustic = feed.With(
            Component.InorganicCarbon,
            0.8 * feed[Component.InorganicCarbon],
            feed.ChargeResidual
        );
        StageReport softener = Walk(caustic, Softener(1.0)).Stages[0];
        Assert.True(softener.Bed!.AtLine.PH > 9.0);
        Assert.Equal("its line", softener.EndedBy);
    }

    [Fact]
    public void The_curve_of_a_softener_keeps_the_charge_that_the_analysis_did_not_find()
    {
        WaterComposition feed = TrainWaters.Hard;
        WaterComposition skewed = feed.With(
            Component.Sodium,
            feed[Component.Sodium] + 0.5,
            feed.ChargeResidual + 0.5
        );
        StageReport softener = Walk(skewed, Softener(1.0)).Stages[0];
        (_, double[] curve) = softener.Bed!.Conductivity(softener.Feed.Temperature);
        double atLine = softener.Bed.AtLine.Conductivity_uS_cm;
        Assert.Equal(atLine, curve[^1], 0.01 * atLine);
    }

    [Fact]
    public void A_stage_that_misses_its_line_from_new_is_warned_of_and_left_out_of_the_bill_by_name()
    {
        TrainReport report = Walk(TrainWaters.Hard, Softener(0.02, 20.0));
        StageReport softener = report.Stages[0];
        Assert.True(softener.MissesFromNew);
        Assert.Contains(report.Warnings, w => string.Equals(w.Place, "softener", StringComparison.Ordinal));
        Bill bill = Costing.Yearly(
            new Prices
            {
                Items = System.Collections.Frozen.FrozenDictionary.ToFrozenDictionary(
                    [KeyValuePair.Create("softener-resin", new PricedItem(5m, 0m, 1m, null))],
                    StringComparer.Ordinal
                ),
            },
            report.Consumptions,
            report.YearlyUse(Week)
        );
        Assert.Equal("softener-resin", Assert.Single(bill.Unpriced));
    }

    [Fact]
    public void A_sediment_filter_too_small_for_its_flow_says_so()
    {
        var small = new SedimentStage(
            "sediment",
            new SedimentFilter { RatedFlow = PerMinute(0.5), FullLoss = Pressure.FromKilopascals(50.0) }
        );
        TrainReport report = Walk(TrainWaters.Soft, small);
        Assert.True(report.Stages[0].MissesFromNew);
        Assert.Contains("Even new", Assert.Single(report.Warnings).Text.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void Brine_that_could_not_be_worked_out_is_warned_of()
    {
        var strong = new double[IonCatalog.ComponentCount];
        strong[(int)Component.Sodium] = 1000.0; // lye, whose brine would be beyond every pH
        var membrane = new ReverseOsmosis { FeedPressure = Pressure.FromBars(250.0), Recovery = 0.95 };
        var feed = new WaterComposition(strong, 0.0, 288.15);
        Assert.Null(membrane.Treat(feed)!.Scaling);
        StageReport report = new OsmosisStage("osmosis", membrane).Treat(
            new TrainWater(feed, default, default),
            new StageDuty(PerMinute(1.0), 0.01),
            TestContext.Current.CancellationToken
        )!;
        Assert.Contains(report.Warnings, w => w.Text.Text.Contains("may scale", StringComparison.Ordinal));
    }

    [Fact]
    public void The_bed_behind_a_by_pass_is_changed_at_another_line_as_any_other()
    {
        var line = new ExitLine(Spots_mg_m2: 20.0);
        Train changed = new Train([new BlendStage("blend", 0.2, Softener(1.0)), Tank]).ChangedAt(line)!;
        Assert.Equal(line, ((BedStage)((BlendStage)changed.Stages[0]).Around).Line);
    }
}
