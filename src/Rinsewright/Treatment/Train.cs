using System.Collections.Immutable;
using Rinsewright.Drying;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>How much a task's water marks a panel when it dries there.</summary>
public enum SpotRisk
{
    /// <summary>The water is wiped or washed off again.</summary>
    DoesNotDry,

    /// <summary>Nothing is seen (<see cref="SpotGrade.None"/>).</summary>
    Low,

    /// <summary>Faint rings on dark paint (<see cref="SpotGrade.Faint"/>).</summary>
    Some,

    /// <summary>Plain or heavy spots.</summary>
    High,
}

/// <summary>A task and the water it gets, mean over the lives of the stages.</summary>
/// <param name="Task">The task.</param>
/// <param name="Reading">Its water.</param>
/// <param name="Risk">How much it marks, by the grade of its spot index.</param>
public sealed record TaskWater(WashTask Task, WaterReading Reading, SpotRisk Risk);

/// <summary>What a train gives under a habit.</summary>
/// <param name="Stages">Each stage in order.</param>
/// <param name="Product">Water behind the whole train, mean over the lives.</param>
/// <param name="Tasks">Each task with its water.</param>
/// <param name="Utility_m3">Water taken from the utility in a week [m³/week].</param>
/// <param name="Waste_m3">Water sent to waste by the stages in a week [m³/week].</param>
/// <param name="Electricity_kWh">Electricity in a week [kWh/week].</param>
/// <param name="Warnings">All warnings of the stages.</param>
public sealed record TrainReport(
    IReadOnlyList<StageReport> Stages,
    TrainWater Product,
    IReadOnlyList<TaskWater> Tasks,
    double Utility_m3,
    double Waste_m3,
    double Electricity_kWh,
    IReadOnlyList<Warning> Warnings
)
{
    private const decimal WeeksPerYear = 52m;

    /// <summary>
    /// What the stages use up in a year. A stage that misses its line from new and has no calendar is among them with no changes:
    /// how many it would want is not known.
    /// </summary>
    public IReadOnlyList<Consumption> Consumptions =>
        [
            .. Stages
                .Where(s => s.Stage.Consumable is not null && (s.ChangesPerYear > 0.0 || s.MissesFromNew))
                .Select(s => new Consumption(
                    s.Stage.Name,
                    s.Stage.Consumable!.Value.Item,
                    Rounded(s.Stage.Consumable.Value.Units),
                    Rounded(s.ChangesPerYear)
                )
                {
                    IsUnknown = s.ChangesPerYear <= 0.0,
                }),
        ];

    /// <summary>Water and electricity of a year under a habit.</summary>
    public YearlyUse YearlyUse(Habit habit) =>
        new(
            WeeksPerYear * Rounded(Utility_m3),
            WeeksPerYear * Rounded(Utility_m3),
            WeeksPerYear * Rounded(habit.TotalWeekly_m3),
            WeeksPerYear * Rounded(habit.WashesPerWeek),
            WeeksPerYear * Rounded(Electricity_kWh)
        );

    private static decimal Rounded(double value) => decimal.Round((decimal)value, 4);
}

/// <summary>Stages in the order in which the water meets them.</summary>
/// <remarks>
/// One walk from source to tool: each stage is fed what the stage before gives, mean over its life, so that everything
/// in the water is accounted for. Sediment and carbon at the head serve both the carbon and the deionised outlet;
/// the others serve the deionised one. Equations: docs/models/train.md.
/// </remarks>
/// <param name="Stages">The stages.</param>
public sealed record Train(ImmutableArray<Stage> Stages)
{
    private const double JoulesPerKilowattHour = 3.6e6;
    private const int Pieces = 50;
    private const double LastPiece = 1e-3;

    private static VolumeFlow Idle => VolumeFlow.FromLitersPerMinute(1.0);

    /// <summary>Walks a week of a habit through the train.</summary>
    /// <param name="source">The water at the spigot.</param>
    /// <param name="habit">The usual week.</param>
    /// <param name="rests">Whether beds rest between washes; without, they are drawn through in one go, which is quicker.</param>
    /// <param name="cancellation">Stops a long run.</param>
    /// <returns>The report, or nothing when a speciation or a bed run was not solved.</returns>
    public TrainReport? Walk(
        TrainWater source,
        Habit habit,
        bool rests = true,
        CancellationToken cancellation = default
    )
    {
        StageDuty[] duties = Duties(source, habit, rests);
        List<StageReport> reports = [];
        TrainWater water = source;
        TrainWater carbon = source;
        int shared = SharedCount;
        for (int i = 0; i < Stages.Length; i++)
        {
            if (Stages[i].Treat(water, duties[i], cancellation) is not { } report)
            {
                return null;
            }

            reports.Add(report);
            water = report.Product;
            carbon = i < shared ? water : carbon;
        }

        double waste = reports.Sum(r => r.WastePerProduct * r.Duty.Weekly_m3);
        if (TaskWaters(habit, source, carbon, water) is not { } tasks)
        {
            return null;
        }

        return new TrainReport(
            reports,
            water,
            tasks,
            habit.TotalWeekly_m3 + waste,
            waste,
            reports.Sum(Energy_kWh),
            [.. reports.SelectMany(r => r.Warnings).Distinct()]
        );
    }

    /// <summary>The same train, its last beds changed at another line; nothing when it has no bed.</summary>
    /// <param name="line">The line.</param>
    public Train? ChangedAt(ExitLine line)
    {
        for (int i = Stages.Length - 1; i >= 0; i--)
        {
            if (Stages[i].ChangedAt(line) is { } changed)
            {
                return new Train(Stages.SetItem(i, changed));
            }
        }

        return null;
    }

    /// <summary>
    /// Water that the train, new at first, gives after some water has been drawn through it in one go: every stage is fed
    /// what the stage before gives at that time.
    /// </summary>
    /// <param name="source">The water at the spigot.</param>
    /// <param name="flow">Flow at the tool.</param>
    /// <param name="given">Water drawn so far.</param>
    /// <returns>The water, or nothing when a speciation or a bed run was not solved.</returns>
    public TrainWater? After(TrainWater source, VolumeFlow flow, Volume given)
    {
        var draw = new WashTask("draw", given, flow, 1.0, Outlet.Deionised, DriesOnPanel: true);
        StageDuty[] duties = Duties(source, new Habit("one draw", 1.0, [draw]), rests: false);
        Func<TrainWater, Volume, TrainWater?>[] stages = [.. Stages.Select((s, i) => s.Open(duties[i]))];
        TrainWater? water = source;
        for (int piece = 0; piece <= Pieces && water is not null; piece++)
        {
            double share = piece < Pieces ? (1.0 - LastPiece) / Pieces : LastPiece;
            water = source;
            for (int i = 0; i < stages.Length && water is not null; i++)
            {
                water = stages[i](water, Volume.FromCubicMeters(share * duties[i].Weekly_m3));
            }
        }

        return water;
    }

    /// <summary>The line that feeds the deionised outlet, from the spigot or from the last delivery pump.</summary>
    /// <param name="supply">The spigot.</param>
    /// <param name="before">What stands before the train.</param>
    /// <param name="after">What stands between train and tool.</param>
    /// <param name="rate">Gives the elements of the stages their ratings, if they have any.</param>
    public FlowLine Line(
        WaterSupply supply,
        IReadOnlyList<FlowElement> before,
        IReadOnlyList<FlowElement> after,
        Func<FlowElement, FlowElement>? rate = null
    )
    {
        List<FlowElement> elements = [.. before];
        foreach (Stage stage in Stages)
        {
            if (stage is TankStage tank)
            {
                supply = new WaterSupply(tank.Tank.DeliveryPressure);
            }

            if (stage.BreaksLine)
            {
                elements.Clear();
            }
            else if (stage.Element is { } element)
            {
                elements.Add(rate is null ? element : rate(element));
            }
        }

        return new FlowLine(supply, [.. elements, .. after]);
    }

    /// <summary>Number of stages that serve the carbon outlet as well.</summary>
    private int SharedCount => Stages.TakeWhile(s => s is SedimentStage or CarbonStage).Count();

    private static double Energy_kWh(StageReport report)
    {
        double flow = report.Duty.Flow.CubicMetersPerSecond;
        return flow > 0.0 ? report.Power_W * report.Duty.Weekly_m3 / flow / JoulesPerKilowattHour : 0.0;
    }

    /// <summary>Flow and weekly water of each stage, from the tools back to the spigot.</summary>
    private StageDuty[] Duties(TrainWater source, Habit habit, bool rests)
    {
        double draws = rests ? habit.WashesPerWeek : 0.0;
        VolumeFlow flow = habit.UsualFlow(Outlet.Deionised) ?? Idle;
        double weekly = habit.Weekly_m3(Outlet.Deionised);
        var duties = new StageDuty[Stages.Length];
        int shared = SharedCount;
        flow = PaceBefore(Stages.Length, source) ?? flow;
        for (int i = Stages.Length - 1; i >= 0; i--)
        {
            if (i < shared)
            {
                duties[i] = SharedDuty(habit, flow, weekly) with { DrawsPerWeek = draws };
                continue;
            }

            duties[i] = new StageDuty(flow, weekly, draws);
            flow =
                Stages[i] is TankStage
                    ? PaceBefore(i, source) ?? flow
                    : Stages[i].FeedFlow(source.Composition, flow);
            weekly = Stages[i].Taken_m3(weekly);
        }

        return duties;
    }

    /// <summary>Flow of the membrane that gives the water there, if there is one since the last tank.</summary>
    private VolumeFlow? PaceBefore(int end, TrainWater source)
    {
        for (int i = end - 1; i >= 0 && Stages[i] is not TankStage; i--)
        {
            if (Stages[i].OwnPace(source.Composition) is { } pace)
            {
                return pace;
            }
        }

        return null;
    }

    /// <summary>Flow and weekly water of a stage that serves both outlets.</summary>
    /// <param name="habit">The usual week.</param>
    /// <param name="flow">Flow that goes on to the stages of the deionised outlet.</param>
    /// <param name="weekly_m3">Water that goes on to them [m³/week].</param>
    internal static StageDuty SharedDuty(Habit habit, VolumeFlow flow, double weekly_m3)
    {
        double besidesFlow = habit
            .Tasks.Where(t => t.Outlet == Outlet.Carbon)
            .Sum(t => t.Weekly_m3 * t.Flow.CubicMetersPerSecond);
        double all = weekly_m3 + habit.Weekly_m3(Outlet.Carbon);
        double mean = ((weekly_m3 * flow.CubicMetersPerSecond) + besidesFlow) / double.Max(all, 1e-12);
        return new StageDuty(all > 0.0 ? VolumeFlow.FromCubicMetersPerSecond(mean) : Idle, all);
    }

    private static List<TaskWater>? TaskWaters(
        Habit habit,
        TrainWater raw,
        TrainWater carbon,
        TrainWater deionised
    )
    {
        var solver = new SpeciationSolver();
        var species = new Speciation();
        WaterReading?[] readings =
        [
            .. new[] { raw, carbon, deionised }.Select(w => WaterReading.Of(w.Composition, solver, species)),
        ];
        return readings.Contains(null)
            ? null
            :
            [
                .. habit.Tasks.Select(t => new TaskWater(
                    t,
                    readings[(int)t.Outlet]!,
                    RiskOf(t, readings[(int)t.Outlet]!)
                )),
            ];
    }

    private static SpotRisk RiskOf(WashTask task, WaterReading reading) =>
        !task.DriesOnPanel
            ? SpotRisk.DoesNotDry
            : reading.Spots.Grade switch
            {
                SpotGrade.None => SpotRisk.Low,
                SpotGrade.Faint => SpotRisk.Some,
                _ => SpotRisk.High,
            };
}
