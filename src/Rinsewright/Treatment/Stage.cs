using System.Runtime.InteropServices;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>How a stage is used.</summary>
/// <param name="Flow">Usual flow through it.</param>
/// <param name="Weekly_m3">Water it gives in a usual week [m³/week].</param>
/// <param name="DrawsPerWeek">How often in a usual week water is drawn [1/week]; between draws it rests. Zero: no rests.</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct StageDuty(VolumeFlow Flow, double Weekly_m3, double DrawsPerWeek = 0.0);

/// <summary>What a stage does with its water.</summary>
/// <param name="Stage">The stage.</param>
/// <param name="Duty">How it is used.</param>
/// <param name="Feed">Water that enters.</param>
/// <param name="Product">Water that leaves, mean over its life.</param>
/// <param name="Life">Water it gives until it is changed; nothing when its water does not wear it out.</param>
/// <param name="EndedBy">What ends its life.</param>
/// <param name="Loss">Pressure lost in it when new, at its usual flow; zero where it breaks the line.</param>
/// <param name="WastePerProduct">Water sent to waste over water given [-].</param>
/// <param name="Warnings">Limits that are passed.</param>
public sealed record StageReport(
    Stage Stage,
    StageDuty Duty,
    TrainWater Feed,
    TrainWater Product,
    Volume? Life,
    string EndedBy,
    Pressure Loss,
    double WastePerProduct,
    IReadOnlyList<Warning> Warnings
)
{
    private const double WeeksPerYear = 52.0;
    private const double MonthsPerYear = 12.0;

    /// <summary>Water that leaves over the life, for a stage whose water changes as it wears.</summary>
    public BedLife? Bed { get; init; }

    /// <summary>Share of its capacity that chlorine takes from it in one life [-].</summary>
    public double CapacityLost { get; init; }

    /// <summary>Electric power while it gives water [W].</summary>
    public double Power_W { get; init; }

    /// <summary>Whether it misses its line even when new, so that no number of changes is enough.</summary>
    public bool MissesFromNew => Life is { CubicMeters: <= 0.0 };

    /// <summary>
    /// Changes in a year [1/year], by water or by the calendar, whichever comes first; by the calendar alone where it misses
    /// its line from new.
    /// </summary>
    public double ChangesPerYear
    {
        get
        {
            double byWater = Life is { CubicMeters: > 0.0 } life
                ? Duty.Weekly_m3 * WeeksPerYear / life.CubicMeters
                : 0.0;
            double byCalendar = Stage.LongestServiceMonths is { } months ? MonthsPerYear / months : 0.0;
            return double.Max(byWater, byCalendar);
        }
    }
}

/// <summary>One housing or unit of a train.</summary>
/// <param name="Name">What it is called in reports.</param>
public abstract record Stage(string Name)
{
    /// <summary>Months of service of sediment and carbon by the calendar [month]; common practice, no source.</summary>
    public const double UsualFilterMonths = 6.0;

    /// <summary>Months of service of a membrane by the calendar [month]; common practice, no source.</summary>
    public const double UsualMembraneMonths = 36.0;

    /// <summary>Months after which it is changed even when it is not spent [month].</summary>
    public double? LongestServiceMonths { get; init; }

    /// <summary>Whether it breaks the pressure of the line: what stands behind has a pump of its own.</summary>
    internal virtual bool BreaksLine => false;

    /// <summary>Water it takes to give so much [m³].</summary>
    internal virtual double Taken_m3(double given_m3) => given_m3;

    /// <summary>Flow that it gives at a pace of its own, whatever is drawn; nothing where the tools set the flow.</summary>
    /// <param name="feed">Water that enters.</param>
    internal virtual VolumeFlow? OwnPace(WaterComposition feed) => null;

    /// <summary>Flow at which it takes water while it gives so much.</summary>
    /// <param name="feed">Water that enters.</param>
    /// <param name="given">Flow that it gives.</param>
    internal virtual VolumeFlow FeedFlow(WaterComposition feed, VolumeFlow given) => given;

    /// <summary>The same stage, its bed changed at another line; nothing when it has no bed.</summary>
    internal virtual Stage? ChangedAt(ExitLine line) => null;

    /// <summary>What is changed and how many units of it, by its name in the prices file.</summary>
    public abstract (string Item, double Units)? Consumable { get; }

    /// <summary>What the water meets in it, for the hydraulics; nothing where it breaks the line.</summary>
    public abstract FlowElement? Element { get; }

    /// <summary>Treats a water through its life.</summary>
    /// <param name="feed">Water that enters.</param>
    /// <param name="duty">How it is used.</param>
    /// <param name="cancellation">Stops a long run.</param>
    /// <returns>The report, or nothing when a speciation or a bed run was not solved.</returns>
    internal abstract StageReport? Treat(TrainWater feed, StageDuty duty, CancellationToken cancellation);

    /// <summary>
    /// Opens it new, to be drawn through piece by piece: the function takes the water that enters and how much of its own it
    /// then gives, and answers with that water, mean over the piece, or nothing when it could not be worked out.
    /// </summary>
    /// <param name="duty">How it is used.</param>
    internal abstract Func<TrainWater, Volume, TrainWater?> Open(StageDuty duty);

    /// <summary>Pressure lost at a flow in its element when new.</summary>
    private protected Pressure LossAt(VolumeFlow flow, Temperature temperature) =>
        Pressure.FromPascals(
            Element?.Loss_Pa(flow.CubicMetersPerSecond, FlowingWater.At(temperature)) ?? 0.0
        );
}

/// <summary>A sediment filter.</summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="Filter">The cartridge.</param>
public sealed record SedimentStage(string Name, SedimentFilter Filter) : Stage(Name)
{
    /// <inheritdoc/>
    public override (string Item, double Units)? Consumable => ("sediment-cartridge", 1.0);

    /// <inheritdoc/>
    public override FlowElement? Element => Filter.Element(Name, Mass.FromKilograms(0.0));

    internal override Func<TrainWater, Volume, TrainWater?> Open(StageDuty duty) =>
        (feed, _) => Filtered(feed);

    internal override StageReport? Treat(TrainWater feed, StageDuty duty, CancellationToken cancellation)
    {
        TrainWater product = Filtered(feed);
        Volume? life = Filter.LifeTo(feed.Solids, duty.Flow, Filter.FullLoss, feed.Temperature);
        List<Warning> warnings = [];
        if (life is { CubicMeters: 0.0 })
        {
            warnings.Add(
                new Warning(
                    WarningLevel.Caution,
                    Name,
                    Sentence.Of(
                        $"Even new it loses more than {Filter.FullLoss} at {duty.Flow}: it is too small. Take a larger one, two in parallel, or draw more gently."
                    )
                )
            );
        }

        return new StageReport(
            this,
            duty,
            feed,
            product,
            life,
            "pressure loss",
            LossAt(duty.Flow, feed.Temperature),
            0.0,
            warnings
        );
    }

    private TrainWater Filtered(TrainWater feed) =>
        feed with
        {
            Solids = MassConcentration.FromKilogramsPerCubicMeter(
                (1.0 - Filter.Removal) * feed.Solids.KilogramsPerCubicMeter
            ),
        };
}

/// <summary>A carbon block or bed.</summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="Carbon">The carbon.</param>
/// <param name="Line">Total chlorine allowed in its outlet.</param>
/// <param name="Housing">Its pressure loss.</param>
public sealed record CarbonStage(
    string Name,
    CarbonBlock Carbon,
    MassConcentration Line,
    MeasuredLoss Housing
) : Stage(Name)
{
    private const int Samples = 40;

    /// <inheritdoc/>
    public override (string Item, double Units)? Consumable => ("carbon", Carbon.Carbon.Liters);

    /// <inheritdoc/>
    public override FlowElement? Element => Housing;

    internal override StageReport? Treat(TrainWater feed, StageDuty duty, CancellationToken cancellation)
    {
        var species = new Speciation();
        WaterComposition water = feed.Composition;
        if (new SpeciationSolver().Solve(water, water.Closed, species) != SpeciationStatus.Solved)
        {
            return null;
        }

        Temperature temperature = feed.Temperature;
        Volume? life = Carbon.LifeTo(feed.Oxidants, Line, duty.Flow, temperature, species.PH);
        Oxidants outlet = MeanOutlet(feed.Oxidants, life, duty.Flow, temperature, species.PH);
        List<Warning> warnings = [];
        if (life is { CubicMeters: 0.0 })
        {
            warnings.Add(
                new Warning(
                    WarningLevel.Caution,
                    Name,
                    Sentence.Of(
                        $"Even new it misses its line: {Carbon.ContactTime(duty.Flow).TotalSeconds:F0} s of contact is too short at {duty.Flow}. Take more carbon, draw more gently, or take catalytic carbon against chloramine."
                    )
                )
            );
        }

        return new StageReport(
            this,
            duty,
            feed,
            Treated(feed, outlet),
            life,
            "chlorine in the outlet",
            LossAt(duty.Flow, temperature),
            0.0,
            warnings
        );
    }

    internal override Func<TrainWater, Volume, TrainWater?> Open(StageDuty duty)
    {
        var solver = new SpeciationSolver();
        var species = new Speciation();
        double passed_m3 = 0.0;
        return (feed, given) =>
        {
            WaterComposition water = feed.Composition;
            if (solver.Solve(water, water.Closed, species) != SpeciationStatus.Solved)
            {
                return null;
            }

            Volume middle = Volume.FromCubicMeters(passed_m3 + (0.5 * given.CubicMeters));
            passed_m3 += given.CubicMeters;
            return Treated(
                feed,
                Carbon.Outlet(feed.Oxidants, middle, duty.Flow, feed.Temperature, species.PH)
            );
        };
    }

    private TrainWater Treated(TrainWater feed, Oxidants outlet)
    {
        (double chloride, double ammonium) = Carbon.Products(feed.Oxidants, outlet);
        WaterComposition water = feed.Composition;
        return feed with
        {
            Composition = water
                .With(Component.Chloride, water[Component.Chloride] + chloride, water.ChargeResidual)
                .With(Component.Ammonium, water[Component.Ammonium] + ammonium, water.ChargeResidual),
            Oxidants = outlet,
        };
    }

    private Oxidants MeanOutlet(
        Oxidants inlet,
        Volume? life,
        VolumeFlow flow,
        Temperature temperature,
        double pH
    )
    {
        double chlorine = 0.0;
        double chloramine = 0.0;
        for (int i = 0; i < Samples; i++)
        {
            double passed_m3 = (life?.CubicMeters ?? 0.0) * (i + 0.5) / Samples;
            Oxidants outlet = Carbon.Outlet(inlet, Volume.FromCubicMeters(passed_m3), flow, temperature, pH);
            chlorine += outlet.FreeChlorine.KilogramsPerCubicMeter / Samples;
            chloramine += outlet.Chloramine.KilogramsPerCubicMeter / Samples;
        }

        return new Oxidants(
            MassConcentration.FromKilogramsPerCubicMeter(chlorine),
            MassConcentration.FromKilogramsPerCubicMeter(chloramine)
        );
    }
}
