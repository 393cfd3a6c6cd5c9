using System.Runtime.InteropServices;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>How a stage is used.</summary>
/// <param name="Flow">Usual flow through it.</param>
/// <param name="Weekly_m3">Water it gives in a usual week [m³/week].</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct StageDuty(VolumeFlow Flow, double Weekly_m3);

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

    /// <summary>Electric power while it gives water [W].</summary>
    public double Power_W { get; init; }

    /// <summary>
    /// Changes in a year [1/year], by water or by the calendar, whichever comes first.
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
    /// <summary>Months after which it is changed even when it is not spent [month].</summary>
    public double? LongestServiceMonths { get; init; }

    /// <summary>Whether it breaks the pressure of the line: what stands behind has a pump of its own.</summary>
    internal virtual bool BreaksLine => false;

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

    internal override StageReport? Treat(TrainWater feed, StageDuty duty, CancellationToken cancellation)
    {
        TrainWater product = feed with
        {
            Solids = MassConcentration.FromKilogramsPerCubicMeter(
                (1.0 - Filter.Removal) * feed.Solids.KilogramsPerCubicMeter
            ),
        };
        Volume? life = Filter.LifeTo(feed.Solids, duty.Flow, Filter.FullLoss, feed.Temperature);
        return new StageReport(
            this,
            duty,
            feed,
            product,
            life,
            "pressure loss",
            LossAt(duty.Flow, feed.Temperature),
            0.0,
            []
        );
    }
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
        (double chloride, double ammonium) = Carbon.Products(feed.Oxidants, outlet);
        WaterComposition treated = water
            .With(Component.Chloride, water[Component.Chloride] + chloride, water.ChargeResidual)
            .With(Component.Ammonium, water[Component.Ammonium] + ammonium, water.ChargeResidual);
        List<Warning> warnings = [];
        if (life is { CubicMeters: 0.0 })
        {
            warnings.Add(
                new Warning(
                    WarningLevel.Caution,
                    Name,
                    FormattableString.Invariant(
                        $"Even new it misses its line: {Carbon.ContactTime(duty.Flow).TotalSeconds:F0} s of contact is too short at {duty.Flow}. "
                    ) + "Take more carbon, draw more gently, or take catalytic carbon against chloramine."
                )
            );
        }

        return new StageReport(
            this,
            duty,
            feed,
            feed with
            {
                Composition = treated,
                Oxidants = outlet,
            },
            life,
            "chlorine in the outlet",
            LossAt(duty.Flow, temperature),
            0.0,
            warnings
        );
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

/// <summary>A reverse-osmosis unit; it fills a tank at its own pace.</summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="Membrane">The membrane.</param>
public sealed record OsmosisStage(string Name, ReverseOsmosis Membrane) : Stage(Name)
{
    /// <summary>Membrane elements that are changed together.</summary>
    public int Elements { get; init; } = 1;

    /// <summary>Whether a pump, and not the supply, gives the feed pressure.</summary>
    public bool Boosted { get; init; }

    internal override bool BreaksLine => true;

    /// <inheritdoc/>
    public override (string Item, double Units)? Consumable => ("membrane", Elements);

    /// <inheritdoc/>
    public override FlowElement? Element => null;

    internal override StageReport? Treat(TrainWater feed, StageDuty duty, CancellationToken cancellation)
    {
        if (Membrane.Treat(feed.Composition) is not { } result)
        {
            return null;
        }

        return new StageReport(
            this,
            duty with
            {
                Flow = result.PermeateFlow,
            },
            feed,
            feed with
            {
                Composition = result.Permeate,
            },
            null,
            "the calendar",
            default,
            (1.0 - Membrane.Recovery) / Membrane.Recovery,
            [.. Warnings(feed, duty, result)]
        )
        {
            Power_W = Boosted ? result.PumpPower_W : 0.0,
        };
    }

    private IEnumerable<Warning> Warnings(TrainWater feed, StageDuty duty, ReverseOsmosisResult result)
    {
        if (result.Scaling.Worst > 0.0)
        {
            yield return new Warning(
                WarningLevel.Caution,
                Name,
                FormattableString.Invariant(
                    $"The brine is over its saturation (calcite {result.Scaling.Calcite:F1}, gypsum {result.Scaling.Gypsum:F1}, silica {result.Scaling.Silica:F1}): "
                ) + "it can scale. Recover less, or soften before it."
            );
        }

        if (feed.Oxidants.FreeChlorine.MilligramsPerLiter > ReverseOsmosis.Defaults["chlorineLimit"].Value)
        {
            yield return new Warning(
                WarningLevel.Caution,
                Name,
                "Free chlorine reaches the membrane and eats it: carbon belongs before it."
            );
        }

        const double SecondsPerWeek = 7.0 * 86_400.0;
        double hours = duty.Weekly_m3 / double.Max(1e-12, result.PermeateFlow.CubicMetersPerSecond) / 3600.0;
        if (hours > SecondsPerWeek / 3600.0)
        {
            yield return new Warning(
                WarningLevel.Caution,
                Name,
                FormattableString.Invariant(
                    $"It gives {result.PermeateFlow} and would have to run {hours:F0} h a week."
                )
            );
        }
    }
}

/// <summary>A tank open to the air, with a delivery pump.</summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="Tank">The tank.</param>
public sealed record TankStage(string Name, StorageTank Tank) : Stage(Name)
{
    private const double DaysPerWeek = 7.0;

    internal override bool BreaksLine => true;

    /// <inheritdoc/>
    public override (string Item, double Units)? Consumable => null;

    /// <inheritdoc/>
    public override FlowElement? Element => null;

    internal override StageReport? Treat(TrainWater feed, StageDuty duty, CancellationToken cancellation)
    {
        double days =
            duty.Weekly_m3 > 0.0 ? DaysPerWeek * Tank.Volume.CubicMeters / duty.Weekly_m3 : DaysPerWeek;
        if (Tank.AfterStanding(feed.Composition, TimeSpan.FromDays(double.Min(days, 365.0))) is not { } stood)
        {
            return null;
        }

        List<Warning> warnings = [];
        if (days > DaysPerWeek)
        {
            warnings.Add(
                new Warning(
                    WarningLevel.Caution,
                    Name,
                    FormattableString.Invariant(
                        $"Water stands in it {days:F0} days without disinfectant: keep it dark and cool, flush and sanitise it, and do not spray it into the air when it has stood warm."
                    )
                )
            );
        }

        return new StageReport(
            this,
            duty,
            feed,
            feed with
            {
                Composition = stood,
            },
            null,
            "",
            default,
            0.0,
            warnings
        );
    }
}

/// <summary>A stage with a by-pass around it: part of the water goes past.</summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="Share">Share of the water that goes past [-], 0 to 1.</param>
/// <param name="Around">The stage that is passed.</param>
public sealed record BlendStage(string Name, double Share, Stage Around) : Stage(Name)
{
    internal override bool BreaksLine => Around.BreaksLine;

    /// <inheritdoc/>
    public override (string Item, double Units)? Consumable => Around.Consumable;

    /// <inheritdoc/>
    public override FlowElement? Element => Around.Element;

    internal override StageReport? Treat(TrainWater feed, StageDuty duty, CancellationToken cancellation)
    {
        double through = 1.0 - Share;
        StageDuty inner = new(
            VolumeFlow.FromCubicMetersPerSecond(through * duty.Flow.CubicMetersPerSecond),
            through * duty.Weekly_m3
        );
        if (Around.Treat(feed, inner, cancellation) is not { } treated)
        {
            return null;
        }

        return treated with
        {
            Stage = this,
            Duty = duty,
            Product = feed with
            {
                Composition = Blend.Mix(feed.Composition, Share, treated.Product.Composition),
                Oxidants = feed.Oxidants.MixedWith(treated.Product.Oxidants, Share),
            },
            Life = treated.Life is { } life ? Volume.FromCubicMeters(life.CubicMeters / through) : null,
            WastePerProduct = through * treated.WastePerProduct,
        };
    }
}
