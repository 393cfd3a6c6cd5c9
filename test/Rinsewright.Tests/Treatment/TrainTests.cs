using CsCheck;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment;

public sealed class TrainTests
{
    private static readonly Oxidants Chlorinated = new(
        MassConcentration.FromMilligramsPerLiter(0.6),
        MassConcentration.FromMilligramsPerLiter(0.4)
    );

    private static readonly Habit Week = new(
        "week",
        10.0,
        [
            new WashTask("foam", Liters(5.0), PerMinute(6.0), 10.0, Outlet.Carbon, DriesOnPanel: false),
            new WashTask(
                "last rinse",
                Liters(25.0),
                PerMinute(5.0),
                10.0,
                Outlet.Deionised,
                DriesOnPanel: true
            ),
        ]
    );

    private static readonly CarbonStage Carbon = new(
        "carbon",
        new CarbonBlock(Liters(3.0)),
        MassConcentration.FromMilligramsPerLiter(0.1),
        new MeasuredLoss("carbon", PerMinute(4.0), Pressure.FromKilopascals(20.0), 1.0)
    );

    private static readonly SedimentStage Sediment = new("sediment", new SedimentFilter());

    private static Volume Liters(double liters) => Volume.FromLiters(liters);

    private static VolumeFlow PerMinute(double liters) => VolumeFlow.FromLitersPerMinute(liters);

    private static TrainWater Source(WaterComposition water) =>
        new(water, Chlorinated, MassConcentration.FromMilligramsPerLiter(0.3));

    private static ExchangeBed MixedBed(double liters) =>
        new(
            Liters(liters),
            Length.FromMillimeters(100.0),
            new Resin(ResinKind.StrongCation, 0.4),
            new Resin(ResinKind.StrongAnion1, 0.6)
        )
        {
            Name = "mixed bed",
        };

    private static ExchangeBed SodiumBed(double liters) =>
        new(
            Liters(liters),
            Length.FromMillimeters(150.0),
            new Resin(ResinKind.StrongCation, 1.0).WithForm((Component.Sodium, 1.0))
        )
        {
            Name = "softener",
        };

    private static BedStage Stage(BedArrangement arrangement, params ExchangeBed[] beds) =>
        new("beds", [.. beds], arrangement, ExitLine.Deionised);

    private static readonly Lazy<TrainReport> OneBed = new(() =>
        Walk(TrainWaters.Hard, Stage(BedArrangement.Series, MixedBed(2.0)))
    );

    private static TrainReport Walk(WaterComposition water, params Stage[] stages) =>
        new Train([.. stages]).Walk(
            Source(water),
            Week,
            cancellation: TestContext.Current.CancellationToken
        )!;

    [Fact]
    public void Everything_dissolved_is_accounted_for_over_any_train_without_beds()
    {
        Gen.Select(TrainWaters.Any, Gen.Bool, Gen.Bool, Gen.Double[0.0, 0.5])
            .Repeat()
            .Sample(
                (water, filtered, membrane, past) =>
                {
                    List<Stage> stages = filtered ? [Sediment, Carbon] : [];
                    if (membrane)
                    {
                        stages.Add(
                            new BlendStage("blend", past, new OsmosisStage("osmosis", new ReverseOsmosis()))
                        );
                    }

                    TrainReport report = Walk(water, [.. stages]);
                    StageReport? split = report.Stages.FirstOrDefault(s => s.Stage is BlendStage);
                    double perProduct = 1.0 + (split?.WastePerProduct ?? 0.0);
                    foreach (Component component in Enum.GetValues<Component>())
                    {
                        double brought = water[component] + Gained(component, report);
                        double wasted = split is null
                            ? 0.0
                            : BrineOf(split)[component] * split.WastePerProduct;
                        double given = report.Product.Composition[component];
                        Assert.Equal(brought * perProduct, given + wasted, 1e-8 * (1.0 + brought));
                    }
                },
                iter: 30
            );
    }

    [Fact]
    public void Chlorine_that_the_carbon_takes_is_found_again_as_chloride()
    {
        TrainReport report = Walk(TrainWaters.Soft, Sediment, Carbon);
        double chlorineIn = Chlorinated.Total.KilogramsPerCubicMeter / 0.070906;
        double chlorineOut = report.Product.Oxidants.Total.KilogramsPerCubicMeter / 0.070906;
        double gained = report.Product.Composition[Component.Chloride] - TrainWaters.Soft[Component.Chloride];
        Assert.Equal(chlorineIn, chlorineOut + gained, 1e-12);
        Assert.True(report.Product.Composition[Component.Ammonium] > 0.0);
    }

    [Fact]
    public void What_a_bed_takes_from_the_water_is_on_its_resins()
    {
        foreach (
            BedStage stage in (BedStage[])[Stage(BedArrangement.Series, MixedBed(2.0)), SoftenerStage(2.0)]
        )
        {
            BedLife life = Walk(TrainWaters.Hard, stage).Stages[0].Bed!;
            Assert.InRange(life.BalanceError, 0.0, 1e-9);
            foreach (
                Component ion in (Component[])
                    [Component.Calcium, Component.Magnesium, Component.Sodium, Component.Chloride]
            )
            {
                double left = Integral(life, ion);
                double brought = TrainWaters.Hard[ion] * life.Drawn.CubicMeters;
                Assert.Equal(life.Held_mol[(int)ion], brought - left, 0.01 * (brought + left));
            }
        }
    }

    [Fact]
    public void A_lead_lag_pair_gives_more_from_each_fill_than_the_bed_alone()
    {
        StageReport alone = OneBed.Value.Stages[0];
        StageReport pair = Walk(
            TrainWaters.Hard,
            Stage(BedArrangement.LeadLag, MixedBed(2.0), MixedBed(2.0))
        ).Stages[0];
        Assert.True(pair.Life > alone.Life, $"{pair.Life} against {alone.Life}");
        Assert.Equal(2.0, pair.Stage.Consumable!.Value.Units, 9);
    }

    [Fact]
    public void A_lead_lag_pair_never_uses_more_resin_than_one_bed_of_the_same_volume()
    {
        foreach (WaterComposition water in (WaterComposition[])[TrainWaters.Hard, TrainWaters.Soft])
        {
            double single = Walk(water, Stage(BedArrangement.Series, MixedBed(4.0)))
                .Stages[0]
                .Life!.Value.Liters;
            StageReport pair = Walk(
                water,
                Stage(BedArrangement.LeadLag, MixedBed(2.0), MixedBed(2.0))
            ).Stages[0];
            double perLiter = pair.Life!.Value.Liters / pair.Stage.Consumable!.Value.Units;
            Assert.True(
                perLiter >= single / 4.0,
                $"{perLiter} against {single / 4.0} L of water per L of resin"
            );
        }
    }

    [Fact]
    public void Two_beds_in_parallel_give_at_least_twice_the_water_of_one_at_the_same_flow()
    {
        StageReport alone = OneBed.Value.Stages[0];
        StageReport pair = Walk(
            TrainWaters.Hard,
            Stage(BedArrangement.Parallel, MixedBed(2.0), MixedBed(2.0))
        ).Stages[0];
        Assert.True(pair.Life!.Value.Liters >= 2.0 * alone.Life!.Value.Liters);
        Assert.True(pair.Loss < alone.Loss);
    }

    [Fact]
    public void A_softener_takes_hardness_and_leaves_the_load_of_ions_to_the_bed_behind()
    {
        TrainReport report = Walk(TrainWaters.Hard, SoftenerStage(4.0));
        WaterComposition product = report.Product.Composition;
        Assert.True(product[Component.Calcium] < 0.05 * TrainWaters.Hard[Component.Calcium]);
        Assert.True(product[Component.Sodium] > 3.0 * TrainWaters.Hard[Component.Sodium]);
        Assert.Equal("softener-resin", report.Consumptions[0].Item);
    }

    [Fact]
    public void Reverse_osmosis_before_a_bed_makes_it_last_longer_but_less_than_its_conductivity_promises()
    {
        BedStage bed = Stage(BedArrangement.Series, MixedBed(5.0)) with { Line = new ExitLine(5.0) };
        TrainReport direct = Walk(TrainWaters.Hard, bed);
        TrainReport behind = Walk(
            TrainWaters.Hard,
            new OsmosisStage("osmosis", new ReverseOsmosis()) { Boosted = true },
            bed
        );
        double gain = behind.Stages[1].Life!.Value.Liters / direct.Stages[0].Life!.Value.Liters;
        WaterReading feed = Reading(behind.Stages[1].Feed);
        double promise = Reading(direct.Stages[0].Feed).Conductivity_uS_cm / feed.Conductivity_uS_cm;
        Assert.InRange(gain, 2.0, promise);
        Assert.True(behind.Utility_m3 > Week.TotalWeekly_m3);
        Assert.True(behind.Electricity_kWh > 0.0);
    }

    [Fact]
    public void A_deionised_last_rinse_marks_less_than_the_tap_would()
    {
        TaskWater good = OneBed.Value.Tasks[1];
        TaskWater bad = Walk(TrainWaters.Hard).Tasks[1];
        // Water on its line by the meter already carries the silica of a faint ring.
        Assert.InRange(good.Risk, SpotRisk.Low, SpotRisk.Some);
        Assert.Equal(SpotRisk.High, bad.Risk);
        Assert.Equal(SpotRisk.DoesNotDry, Walk(TrainWaters.Hard).Tasks[0].Risk);
    }

    [Fact]
    public void The_line_of_a_train_with_a_tank_begins_at_the_tank_s_pump()
    {
        var train = new Train([
            Sediment,
            new OsmosisStage("osmosis", new ReverseOsmosis()),
            new TankStage("tank", new StorageTank(Liters(100.0), 0.1)),
            Stage(BedArrangement.Series, MixedBed(2.0)),
        ]);
        FlowLine line = train.Line(new WaterSupply(Pressure.FromBars(4.0)), [], []);
        Assert.Equal(2.5, line.Supply.StaticPressure.Bars, 9);
        Assert.Equal("beds", Assert.Single(line.Elements).Name);
    }

    private static BedStage SoftenerStage(double liters) =>
        new("softener", [SodiumBed(liters)], BedArrangement.Series, ExitLine.Softened);

    private static double Gained(Component component, TrainReport report)
    {
        StageReport? carbon = report.Stages.FirstOrDefault(s => s.Stage is CarbonStage);
        return carbon is null
            ? 0.0
            : carbon.Product.Composition[component] - carbon.Feed.Composition[component];
    }

    private static WaterComposition BrineOf(StageReport blend) =>
        ((OsmosisStage)((BlendStage)blend.Stage).Around).Membrane.Treat(blend.Feed.Composition)!.Brine;

    private static WaterReading Reading(TrainWater water) =>
        WaterReading.Of(water.Composition, new SpeciationSolver(), new Speciation())!;

    private static double Integral(BedLife life, Component ion)
    {
        const int Parts = 4000;
        double sum = 0.0;
        for (int i = 0; i < Parts; i++)
        {
            double at = life.From.CubicMeters + (life.Drawn.CubicMeters * (i + 0.5) / Parts);
            sum += life.Effluent.At(ion, Volume.FromCubicMeters(at)) * life.Drawn.CubicMeters / Parts;
        }

        return sum;
    }
}
