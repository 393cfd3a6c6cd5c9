using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment;

public sealed class ChoiceTests
{
    private static readonly ChoiceRequest Request = new(
        new TrainWater(
            TrainWaters.Hard,
            new Oxidants(
                MassConcentration.FromMilligramsPerLiter(0.5),
                MassConcentration.FromMilligramsPerLiter(0.0)
            ),
            MassConcentration.FromMilligramsPerLiter(0.3)
        ),
        Week(),
        ExamplePrices()
    )
    {
        FullRuns = 2,
    };

    private static readonly Lazy<ChoiceResult> Found = new(() => Choice.Search(Request));

    [Fact]
    public void More_than_ten_thousand_plans_are_considered_and_each_is_kept_or_refused_for_a_reason()
    {
        Assert.True(Found.Value.Considered > 10_000);
        Assert.True(Found.Value.Rejected.Values.Sum() < Found.Value.Considered);
        Assert.All(Found.Value.Rejected.Keys, r => Assert.NotEmpty(r.ToString()));
    }

    [Fact]
    public void The_best_train_holds_the_line_when_it_is_walked()
    {
        TrainChoice best = Found.Value.Best!;
        Assert.True(best.Full);
        TrainReport report = PlannedTrain
            .Build(best.Plan, Request)
            .Walk(Request.Source, Request.Habit, cancellation: TestContext.Current.CancellationToken)!;
        WaterReading product = WaterReading.Of(
            report.Product.Composition,
            new SpeciationSolver(),
            new Speciation()
        )!;
        Assert.InRange(product.Conductivity_uS_cm, 0.0, 20.0);
        Assert.DoesNotContain(report.Stages, s => s.Life is { CubicMeters: 0.0 });
    }

    [Fact]
    public void The_runner_up_costs_more_in_all_and_the_reason_says_so()
    {
        ChoiceResult found = Found.Value;
        Assert.True(found.RunnerUp!.Total(5) >= found.Best!.Total(5));
        Assert.Contains(
            found.RunnerUp.Plan.Description.ToString(),
            found.WhyRunnerUpLost!.ToString(),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void No_train_on_the_front_is_beaten_by_another_by_quick_figures()
    {
        List<TrainChoice> quick = [.. Found.Value.Front.Where(c => !c.Full)];
        Assert.NotEmpty(quick);
        Assert.DoesNotContain(quick, c => quick.Exists(other => other.Beats(c)));
    }

    [Fact]
    public void A_budget_and_a_space_are_kept()
    {
        ChoiceResult tight = Choice.Search(
            Request with
            {
                Budget = 260m,
                Height = Length.FromMillimeters(650.0),
                Width = Length.FromMillimeters(600.0),
                FullRuns = 1,
            },
            cancellation: TestContext.Current.CancellationToken
        );
        Assert.InRange(tight.Best!.FirstCost, 0m, 260m);
        Assert.Null(tight.Best.Plan.Osmosis);
        Assert.True(tight.Rejected[Sentence.Of("over the budget")] > 0);
        Assert.True(tight.Rejected[Sentence.Of("too high")] > 0);
    }

    [Fact]
    public void Where_nothing_fits_there_is_no_best_and_the_reasons_are_counted()
    {
        ChoiceResult none = Choice.Search(
            Request with
            {
                Budget = 1m,
            },
            cancellation: TestContext.Current.CancellationToken
        );
        Assert.Null(none.Best);
        Assert.Empty(none.Front);
        Assert.Equal(none.Considered, none.Rejected.Values.Sum());
    }

    [Fact]
    public void Waters_that_a_train_cannot_treat_count_as_risk_and_a_bound_on_it_costs_money()
    {
        TrainWater hardest = Request.Source with { Composition = TrainWaters.Hard.Concentrated(4.0) };
        ChoiceRequest unsure = Request with { Waters = [Request.Source, hardest], FullRuns = 1 };
        ChoiceResult free = Choice.Search(unsure, cancellation: TestContext.Current.CancellationToken);
        ChoiceResult bound = Choice.Search(
            unsure with
            {
                MostRisk = 0.01,
            },
            cancellation: TestContext.Current.CancellationToken
        );
        Assert.Contains(free.Front, c => c.Misses is 0.5);
        Assert.All(free.Front, c => Assert.InRange(c.Risk, c.Misses, 1.0));
        Assert.All(bound.Front, c => Assert.InRange(c.Risk, 0.0, 0.01));
        Assert.True(bound.Best!.Total(5) >= free.Best!.Total(5));
        Assert.True(bound.Rejected[Sentence.Of("over the risk allowed")] > 0);
    }

    [Fact]
    public void A_harder_water_among_those_allowed_raises_the_risk_by_what_it_shortens_the_life()
    {
        TrainWater twice = Request.Source with { Composition = TrainWaters.Hard.Concentrated(2.0) };
        Housing housing = HousingCatalog.All[^1];
        var plan = new TrainPlan(false, null, null, null, housing, 1, BedArrangement.Series);
        ChoiceRequest calm = Request with
        {
            Source = Request.Source with { Oxidants = new Oxidants(default, default) },
        };
        var quick = new QuickTrain(calm);
        (TrainChoice? choice, Sentence? reason) = quick.Judge(plan);
        Assert.Null(reason);
        double alone = new ChoiceRisk(calm, quick).Judge(choice!).Risk;
        ChoiceRequest both = calm with
        {
            Waters = [calm.Source, twice with { Oxidants = calm.Source.Oxidants }],
        };
        double mean = new ChoiceRisk(both, quick).Judge(choice!).Risk;
        Assert.Equal(0.5 / choice!.LifeWeeks!.Value, alone, 1e-12);
        Assert.InRange(mean / alone, 1.45, 1.6); // the mean of one and of twice as much
    }

    [Fact]
    public void A_stopped_search_says_so()
    {
        using var stop = new CancellationTokenSource();
        stop.Cancel();
        Assert.Throws<OperationCanceledException>(() => Choice.Search(Request, cancellation: stop.Token));
    }

    [Fact]
    public void Quick_lives_agree_with_full_runs_within_a_factor_of_two()
    {
        Housing housing = HousingCatalog.All.Single(h => h.Id.EndsWith("4.5x20", StringComparison.Ordinal));
        Train train = PlannedTrain.Build(
            new TrainPlan(false, null, null, null, housing, 1, BedArrangement.Series),
            Request
        );
        StageReport full = train
            .Walk(Request.Source, Request.Habit, cancellation: TestContext.Current.CancellationToken)!
            .Stages[0];
        QuickBed quick = QuickBed.Of(
            HousingCatalog.MixedBed(housing),
            1,
            1,
            full.Duty.Flow.CubicMetersPerSecond,
            TrainWaters.Hard
        );
        Assert.InRange(quick.Life_m3 / full.Life!.Value.CubicMeters, 0.5, 2.0);
    }

    [Fact]
    public void Quick_figures_judge_carbon_as_the_full_walk_does_with_and_without_a_membrane()
    {
        ChoiceRequest soft = Request with
        {
            Source = Request.Source with
            {
                Composition = TrainWaters.Soft,
                Oxidants = new Oxidants(MassConcentration.FromMilligramsPerLiter(1.0), default),
            },
            Habit = new Habit(
                "one van",
                5.0,
                [
                    new WashTask(
                        "rinse",
                        Volume.FromLiters(20.0),
                        VolumeFlow.FromLitersPerMinute(15.0),
                        5.0,
                        Outlet.Deionised,
                        true
                    ),
                ]
            ),
        };
        var quick = new QuickTrain(soft);
        int saved = 0;
        foreach (Housing carbon in HousingCatalog.All.Where(h => h.CarbonBlock is not null))
        {
            foreach (OsmosisPlan? osmosis in (OsmosisPlan?[])[null, new(1, 0.5, true), new(2, 0.5, true)])
            {
                var plan = new TrainPlan(
                    true,
                    carbon,
                    null,
                    osmosis,
                    HousingCatalog.All[^1],
                    1,
                    BedArrangement.Series
                );
                bool refused =
                    quick.Judge(plan).Reason is { } reason
                    && reason.Equals(Sentence.Of("chlorine reaches the resin or membrane"));
                TrainReport report = PlannedTrain
                    .Build(plan with { Bed = null, Beds = 0 }, soft)
                    .Walk(soft.Source, soft.Habit, rests: false, TestContext.Current.CancellationToken)!;
                Assert.Equal(report.Stages[1].MissesFromNew, refused);
                bool alone =
                    quick.Judge(plan with { Osmosis = null }).Reason is { } why
                    && why.Equals(Sentence.Of("chlorine reaches the resin or membrane"));
                saved += alone && !refused ? 1 : 0;
            }
        }

        Assert.True(saved > 0);
    }

    private static Habit Week()
    {
        using JsonDocument json = JsonDocument.Parse(
            File.ReadAllText(Repository.PathOf("examples/habits/two-vans.json"))
        );
        Assert.True(Habit.TryRead(json.RootElement, out Habit? habit, out _));
        return habit;
    }

    private static Prices ExamplePrices()
    {
        using JsonDocument json = JsonDocument.Parse(
            File.ReadAllText(Repository.PathOf("examples/prices/example.json"))
        );
        Assert.True(Prices.TryRead(json.RootElement, out Prices? prices, out _));
        return prices;
    }
}
