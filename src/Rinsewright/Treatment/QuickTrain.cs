using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>
/// Judges many plans by quick figures: waters, flows and lives that plans share are worked out once, the rest is
/// arithmetic (docs/models/choice.md).
/// </summary>
internal sealed class QuickTrain
{
    private const decimal WeeksPerYear = 52m;
    private const double HighestVelocity_m_h = 120.0; // twice the usual limit: beyond it a bed channels; common practice
    private const double SecondsPerWeek = 7.0 * 86_400.0;

    private readonly ChoiceRequest _request;
    private readonly SpeciationSolver _solver = new();
    private readonly Speciation _species = new();
    private readonly Dictionary<
        (bool, OsmosisPlan?),
        (WaterComposition Water, ReverseOsmosisResult? Split)?
    > _waters = [];
    private readonly Dictionary<(string, VolumeFlow), (double? Life_m3, bool Holds)> _carbons = [];
    private readonly Dictionary<(string, int, BedArrangement, bool, OsmosisPlan?), QuickBed> _beds = [];
    private readonly Dictionary<WaterComposition, double> _excesses = [];
    private readonly Dictionary<TrainPlan, double> _losses = [];
    private readonly double _weekly;
    private readonly double _carbonWeekly;
    private readonly VolumeFlow _flow;
    private readonly double _pH;

    public QuickTrain(ChoiceRequest request)
    {
        _request = request;
        _weekly = request.Habit.Weekly_m3(Outlet.Deionised);
        _carbonWeekly = request.Habit.Weekly_m3(Outlet.Carbon);
        _flow = request.Habit.UsualFlow(Outlet.Deionised) ?? VolumeFlow.FromLitersPerMinute(1.0);
        _pH = WaterReading.Of(request.Source.Composition, _solver, _species)?.PH ?? 7.0;
    }

    /// <summary>Figures of a plan, or why it is refused.</summary>
    public (TrainChoice? Choice, Sentence? Reason) Judge(TrainPlan plan)
    {
        if (SpaceProblem(plan) is { } space)
        {
            return (null, space);
        }

        Duty duty = Keep(plan);
        if (duty.Problem is { } problem)
        {
            return (null, problem);
        }

        TrainChoice choice = FiguresOf(plan, duty);
        return _request.Budget is { } budget && choice.FirstCost > budget
            ? (null, Sentence.Of("over the budget"))
            : (choice, null);
    }

    /// <summary>Weeks that the beds of a plan last with this water; infinite without a bed, zero when it misses its duty.</summary>
    public double WeeksKept(TrainPlan plan)
    {
        Duty duty = Keep(plan);
        return duty.Problem is not null ? 0.0
            : duty.BedLife_m3 is { } life && _weekly > 0.0 ? life / _weekly
            : double.PositiveInfinity;
    }

    /// <summary>Whether a plan keeps its duty with this water, and how.</summary>
    private Duty Keep(TrainPlan plan)
    {
        if (Feed(plan) is not { } feed)
        {
            return new Duty(Sentence.Of("its water could not be worked out"));
        }

        if (feed.Split is { } split)
        {
            if (split.Scaling is not { } scaling)
            {
                return new Duty(Sentence.Of("its water could not be worked out"));
            }

            if (scaling.Worst > 0.0)
            {
                return new Duty(Sentence.Of("the membrane would scale"));
            }

            if (split.PermeateFlow.CubicMetersPerSecond * SecondsPerWeek < _weekly)
            {
                return new Duty(Sentence.Of("the membrane does not keep up"));
            }
        }

        bool sensitive = plan.Bed is not null || plan.Osmosis is not null || plan.Softener is not null;
        (double? carbonLife, bool carbonHolds) = Carbon(plan, SharedFlow(plan, feed.Split));
        if (sensitive && !carbonHolds)
        {
            return new Duty(Sentence.Of("chlorine reaches the resin or membrane"));
        }

        double slipped = 1.0;
        double? bedLife = null;
        if (plan.Bed is { } housing)
        {
            QuickBed bed = Bed(plan, housing, feed.Water);
            if (bed.Velocity_m_h > HighestVelocity_m_h)
            {
                return new Duty(Sentence.Of("the water is too fast for the bed"));
            }

            slipped = bed.Slip;
            bedLife = bed.Life_m3;
            if (bed.Life_m3 <= 0.0)
            {
                return new Duty(Sentence.Of("the bed is too small for the flow"));
            }
        }

        return !Holds(feed.Water, slipped) ? new Duty(Sentence.Of("misses the line"))
            : plan.Osmosis is null && !PressureIsLeft(plan)
                ? new Duty(Sentence.Of("too little pressure is left for the tool"))
            : new Duty(null, feed.Split, carbonLife, bedLife);
    }

    private Sentence? SpaceProblem(TrainPlan plan)
    {
        Housing sediment = HousingCatalog.All[0];
        double width = plan.Sediment ? sediment.Width.Meters : 0.0;
        double height = plan.Sediment ? sediment.Height.Meters : 0.0;
        foreach (
            (Housing? housing, int count) in (ReadOnlySpan<(Housing?, int)>)
                [(plan.Carbon, 1), (plan.Softener, 1), (plan.Bed, plan.Beds)]
        )
        {
            width += (housing?.Width.Meters ?? 0.0) * count;
            height = double.Max(height, housing?.Height.Meters ?? 0.0);
        }

        const double OsmosisWidth_m = 0.6;
        const double OsmosisHeight_m = 0.9;
        width += plan.Osmosis is null ? 0.0 : OsmosisWidth_m;
        height = plan.Osmosis is null ? height : double.Max(height, OsmosisHeight_m);
        return width > (_request.Width?.Meters ?? double.PositiveInfinity) ? Sentence.Of("too wide")
            : height > (_request.Height?.Meters ?? double.PositiveInfinity) ? Sentence.Of("too high")
            : null;
    }

    /// <summary>What the beds are fed, once for each softening and membrane.</summary>
    private (WaterComposition Water, ReverseOsmosisResult? Split)? Feed(TrainPlan plan)
    {
        (bool, OsmosisPlan?) key = (plan.Softener is not null, plan.Osmosis);
        if (!_waters.TryGetValue(key, out (WaterComposition, ReverseOsmosisResult?)? known))
        {
            WaterComposition water = _request.Source.Composition;
            water = plan.Softener is null ? water : Softened(water);
            if (plan.Osmosis is null)
            {
                known = (water, null);
            }
            else if (plan.Osmosis.Membrane(_request.Supply).Treat(water) is { } split)
            {
                known = (split.Permeate, split);
            }

            _waters[key] = known;
        }

        return known;
    }

    private static WaterComposition Softened(WaterComposition water)
    {
        double hardness = 2.0 * (water[Component.Calcium] + water[Component.Magnesium]);
        double charge = water.ChargeResidual;
        return water
            .With(Component.Sodium, water[Component.Sodium] + hardness, charge)
            .With(Component.Calcium, 0.0, charge)
            .With(Component.Magnesium, 0.0, charge);
    }

    /// <summary>Flow through the stages at the head, as the full walk has it.</summary>
    private VolumeFlow SharedFlow(TrainPlan plan, ReverseOsmosisResult? split) =>
        Train.SharedDuty(_request.Habit, split?.FeedFlow ?? _flow, Fed_m3(plan)).Flow;

    /// <summary>Water that the stages before the beds give them in a week [m³/week].</summary>
    private double Fed_m3(TrainPlan plan) =>
        plan.Osmosis is { } osmosis ? _weekly / osmosis.Recovery : _weekly;

    private (double? Life_m3, bool Holds) Carbon(TrainPlan plan, VolumeFlow flow)
    {
        TrainWater source = _request.Source;
        if (plan.Carbon?.CarbonBlock is not { } block)
        {
            return (null, source.Oxidants.Total <= CarbonBlock.UsualLine);
        }

        if (!_carbons.TryGetValue((plan.Carbon.Id, flow), out (double?, bool) known))
        {
            Volume? life = new CarbonBlock(block).LifeTo(
                source.Oxidants,
                CarbonBlock.UsualLine,
                flow,
                source.Temperature,
                _pH
            );
            known = (life?.CubicMeters, life is not { CubicMeters: 0.0 });
            _carbons[(plan.Carbon.Id, flow)] = known;
        }

        return known;
    }

    private QuickBed Bed(TrainPlan plan, Housing housing, WaterComposition feed)
    {
        var key = (housing.Id, plan.Beds, plan.Arrangement, plan.Softener is not null, plan.Osmosis);
        if (!_beds.TryGetValue(key, out QuickBed known))
        {
            int rows = plan.Arrangement == BedArrangement.Parallel ? plan.Beds : 1;
            int inRow = plan.Beds / rows;
            int changed = plan.Arrangement == BedArrangement.LeadLag ? 1 : inRow;
            known = QuickBed.Of(
                HousingCatalog.MixedBed(housing),
                inRow,
                changed,
                _flow.CubicMetersPerSecond / rows,
                feed
            );
            known = known with { Life_m3 = rows * known.Life_m3 };
            _beds[key] = known;
        }

        return known;
    }

    private bool Holds(WaterComposition feed, double slipped)
    {
        if (!_excesses.TryGetValue(feed, out double excess))
        {
            WaterReading? reading = WaterReading.Of(feed, _solver, _species);
            excess = reading is null ? double.PositiveInfinity : _request.Line.Excess(reading);
            _excesses[feed] = excess;
        }

        return slipped * (1.0 + excess) <= 1.0; // eq. choice-6
    }

    /// <summary>Losses add up over the stages, and plans share stages: each is worked out once.</summary>
    private bool PressureIsLeft(TrainPlan plan)
    {
        TrainPlan nothing = new(false, null, null, null, null, 0, BedArrangement.Series);
        double loss =
            Loss_Pa(nothing with { Sediment = plan.Sediment })
            + Loss_Pa(nothing with { Carbon = plan.Carbon })
            + Loss_Pa(nothing with { Softener = plan.Softener })
            + Loss_Pa(nothing with { Bed = plan.Bed, Beds = plan.Beds, Arrangement = plan.Arrangement });
        return _request.Supply.Pascals - loss >= _request.LeastToolPressure.Pascals;
    }

    private double Loss_Pa(TrainPlan part)
    {
        if (!_losses.TryGetValue(part, out double loss))
        {
            FlowingWater water = FlowingWater.At(_request.Source.Temperature);
            loss = PlannedTrain
                .Build(part, _request)
                .Stages.Sum(s => s.Element?.Loss_Pa(_flow.CubicMetersPerSecond, water) ?? 0.0);
            _losses[part] = loss;
        }

        return loss;
    }

    private TrainChoice FiguresOf(TrainPlan plan, Duty duty)
    {
        (_, ReverseOsmosisResult? split, double? carbonLife, double? bedLife) = duty;
        double fed = Fed_m3(plan);
        double shared = fed + _carbonWeekly;
        List<Consumption> used = [];
        if (plan.Sediment)
        {
            var filter = new SedimentFilter();
            double? life = filter
                .LifeTo(
                    _request.Source.Solids,
                    SharedFlow(plan, split),
                    filter.FullLoss,
                    _request.Source.Temperature
                )
                ?.CubicMeters;
            used.Add(
                new Consumption(
                    "sediment",
                    "sediment-cartridge",
                    1m,
                    PlannedTrain.Changes(shared, life, PlannedTrain.Calendar)
                )
            );
        }

        if (plan.Carbon?.CarbonBlock is { } block)
        {
            decimal changes = PlannedTrain.Changes(shared, carbonLife, PlannedTrain.Calendar);
            used.Add(new Consumption("carbon", "carbon", (decimal)block.Liters, changes));
        }

        if (plan.Softener is { } softener)
        {
            WaterComposition source = _request.Source.Composition;
            double hardness = 2.0 * (source[Component.Calcium] + source[Component.Magnesium]);
            double life =
                HousingCatalog.Softener(softener).CapacityEquivalents(1) / double.Max(hardness, 1e-6);
            decimal changes = PlannedTrain.Changes(fed, life, null);
            used.Add(new Consumption("softener", "softener-resin", (decimal)softener.Resin.Liters, changes));
        }

        if (plan.Osmosis is { } membrane)
        {
            decimal changes = PlannedTrain.Changes(0.0, null, PlannedTrain.MembraneCalendar);
            used.Add(new Consumption("reverse osmosis", "membrane", membrane.Elements, changes));
        }

        if (plan.Bed is { } bed)
        {
            int changed = plan.Arrangement == BedArrangement.LeadLag ? 1 : plan.Beds;
            decimal changes = PlannedTrain.Changes(_weekly, bedLife, null);
            used.Add(new Consumption("bed", "mixed-bed-resin", changed * (decimal)bed.Resin.Liters, changes));
        }

        double utility = _request.Habit.TotalWeekly_m3 + fed - _weekly;
        double hours = split is null ? 0.0 : _weekly / split.PermeateFlow.CubicMetersPerSecond / 3600.0;
        double energy = plan.Osmosis is { Boosted: true } ? hours * split!.PumpPower_W / 1000.0 : 0.0;
        return PlannedTrain.Figures(
            plan,
            _request,
            used,
            new YearlyUse(
                WeeksPerYear * (decimal)utility,
                WeeksPerYear * (decimal)utility,
                WeeksPerYear * (decimal)_request.Habit.TotalWeekly_m3,
                WeeksPerYear * (decimal)_request.Habit.WashesPerWeek,
                WeeksPerYear * (decimal)energy
            ),
            bedLife is { } m3 && _weekly > 0.0 ? m3 / _weekly : null,
            full: false
        );
    }

    /// <summary>How a plan keeps its duty, or the problem that it does not.</summary>
    private sealed record Duty(
        Sentence? Problem,
        ReverseOsmosisResult? Split = null,
        double? CarbonLife_m3 = null,
        double? BedLife_m3 = null
    );
}
