using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment;

/// <summary>A train at some point of its life, its lines, and the rests between washes.</summary>
public sealed class TrainLifeTests
{
    private static readonly VolumeFlow Flow = VolumeFlow.FromLitersPerMinute(1.0);
    private static readonly MassConcentration None = MassConcentration.FromMilligramsPerLiter(0.0);
    private static readonly TrainWater Source = new(TrainWaters.Hard, new Oxidants(None, None), None);

    private static BedStage Mixed(double liters, ExitLine? line = null, int count = 1) =>
        new(
            "beds",
            [
                .. Enumerable.Repeat(
                    new ExchangeBed(
                        Volume.FromLiters(liters),
                        Length.FromMillimeters(100.0),
                        new Resin(ResinKind.StrongCation, 0.4),
                        new Resin(ResinKind.StrongAnion1, 0.6)
                    ),
                    count
                ),
            ],
            BedArrangement.Series,
            line ?? ExitLine.Deionised
        );

    private static StageReport Treated(BedStage stage, double drawsPerWeek = 0.0) =>
        stage.Treat(Source, new StageDuty(Flow, 0.3, drawsPerWeek), TestContext.Current.CancellationToken)!;

    private static WaterReading Reading(TrainWater water) =>
        WaterReading.Of(water.Composition, new SpeciationSolver(), new Speciation())!;

    [Fact]
    public void After_its_life_a_bed_gives_water_on_its_line_and_long_after_it_the_feed()
    {
        BedStage stage = Mixed(2.0);
        var train = new Train([stage]);
        Volume life = Treated(stage).Life!.Value;
        double early = Reading(
            train.After(Source, Flow, Volume.FromLiters(0.3 * life.Liters))!
        ).Conductivity_uS_cm;
        double atLine = Reading(train.After(Source, Flow, life)!).Conductivity_uS_cm;
        TrainWater spent = train.After(Source, Flow, Volume.FromLiters(20.0 * life.Liters))!;
        Assert.InRange(early, 0.05, 5.0);
        Assert.InRange(atLine, 17.0, 23.0);
        foreach (Component ion in (Component[])[Component.Calcium, Component.Chloride, Component.Silica])
        {
            Assert.Equal(TrainWaters.Hard[ion], spent.Composition[ion], 0.01 * TrainWaters.Hard[ion]);
        }
    }

    [Fact]
    public void Two_beds_as_two_stages_give_what_they_give_as_one()
    {
        Volume drawn = Volume.FromLiters(1.15 * Treated(Mixed(1.0, count: 2)).Life!.Value.Liters);
        WaterComposition one = new Train([Mixed(1.0, count: 2)]).After(Source, Flow, drawn)!.Composition;
        WaterComposition two = new Train([Mixed(1.0), Mixed(1.0)]).After(Source, Flow, drawn)!.Composition;
        foreach (Component ion in Enum.GetValues<Component>())
        {
            double scale = double.Max(1e-3, TrainWaters.Hard[ion]);
            Assert.Equal(one[ion] / scale, two[ion] / scale, 0.05);
        }
    }

    [Fact]
    public void A_membrane_and_a_by_pass_pass_their_share_into_the_water_behind_them()
    {
        var membrane = new OsmosisStage("osmosis", new ReverseOsmosis());
        WaterComposition permeate = membrane.Membrane.Treat(TrainWaters.Hard)!.Permeate;
        WaterComposition found = new Train([new BlendStage("blend", 0.25, membrane)])
            .After(Source, Flow, Volume.FromLiters(100.0))!
            .Composition;
        double expected = (0.25 * TrainWaters.Hard[Component.Calcium]) + (0.75 * permeate[Component.Calcium]);
        Assert.Equal(expected, found[Component.Calcium], 1e-12);
    }

    [Fact]
    public void A_stricter_line_of_any_kind_ends_a_life_sooner()
    {
        (ExitLine Strict, ExitLine Loose)[] pairs =
        [
            (new(Conductivity_uS_cm: 5.0), new(Conductivity_uS_cm: 50.0)),
            (new(Residue_mg_L: 2.0), new(Residue_mg_L: 40.0)),
            (new(Silica_mg_L: 1.0), new(Silica_mg_L: 8.0)),
            (new(Spots_mg_m2: 2.0), new(Spots_mg_m2: 20.0)),
        ];
        foreach ((ExitLine strict, ExitLine loose) in pairs)
        {
            StageReport soon = Treated(Mixed(1.0, strict));
            StageReport late = Treated(Mixed(1.0, loose));
            Assert.True(soon.Life < late.Life, $"{strict}: {soon.Life} against {late.Life}");
            Assert.Equal(0.0, loose.Excess(late.Bed!.AtLine), 1e-3);
        }
    }

    [Fact]
    public void Changed_at_a_line_the_last_bed_of_a_train_holds_it_and_the_others_keep_theirs()
    {
        BedStage softener = Mixed(1.0, ExitLine.Softened);
        var line = new ExitLine(Spots_mg_m2: 20.0);
        Train changed = new Train([
            softener,
            Mixed(2.0),
            new TankStage("tank", new StorageTank(Volume.FromLiters(50.0), 0.1)),
        ]).ChangedAt(line)!;
        Assert.Equal(ExitLine.Softened, ((BedStage)changed.Stages[0]).Line);
        Assert.Equal(line, ((BedStage)changed.Stages[1]).Line);
        Assert.Null(new Train([changed.Stages[2]]).ChangedAt(line));
    }

    [Fact]
    public void Rests_between_draws_let_a_bed_last_no_less_and_lose_nothing()
    {
        StageReport inOneGo = Treated(Mixed(1.0));
        StageReport rested = Treated(Mixed(1.0), drawsPerWeek: 7.0);
        Assert.InRange(rested.Life!.Value.Liters / inOneGo.Life!.Value.Liters, 0.98, 1.5);
        Assert.InRange(rested.Bed!.BalanceError, 0.0, 1e-9);
    }
}
