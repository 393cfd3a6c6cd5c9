using System.Collections.Immutable;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Treatment;

/// <summary>Builds the train of a plan, lists its parts and adds up its figures.</summary>
internal static class PlannedTrain
{
    public const string BedName = "mixed bed";

    private const double CalendarMonths = Stage.UsualFilterMonths;
    private const double MembraneMonths = Stage.UsualMembraneMonths;
    private const double TankLiters = 200.0;
    private const double TankSurface_m2 = 0.25;
    private const decimal TankPumps = 1m;
    private const decimal WeeksPerYear = 52m;

    /// <summary>Loss of a carbon block at 4 L/min: 25 kPa, seen 10–50; common practice, no source.</summary>
    public static MeasuredLoss CarbonLoss { get; } =
        new("carbon", VolumeFlow.FromLitersPerMinute(4.0), Pressure.FromKilopascals(25.0), 1.0);

    public static Train Build(TrainPlan plan, ChoiceRequest request)
    {
        ImmutableArray<Stage>.Builder stages = ImmutableArray.CreateBuilder<Stage>();
        if (plan.Sediment)
        {
            stages.Add(
                new SedimentStage("sediment", new SedimentFilter()) { LongestServiceMonths = CalendarMonths }
            );
        }

        if (plan.Carbon?.CarbonBlock is { } carbon)
        {
            stages.Add(
                new CarbonStage("carbon", new CarbonBlock(carbon), CarbonBlock.UsualLine, CarbonLoss)
                {
                    LongestServiceMonths = CalendarMonths,
                }
            );
        }

        if (plan.Softener is { } softener)
        {
            stages.Add(
                new BedStage(
                    "softener",
                    [HousingCatalog.Softener(softener)],
                    BedArrangement.Series,
                    ExitLine.Softened
                )
            );
        }

        if (plan.Osmosis is { } osmosis)
        {
            stages.Add(
                new OsmosisStage("reverse osmosis", osmosis.Membrane(request.Supply))
                {
                    LongestServiceMonths = MembraneMonths,
                    Elements = osmosis.Elements,
                    Boosted = osmosis.Boosted,
                }
            );
            stages.Add(new TankStage("tank", new StorageTank(Volume.FromLiters(TankLiters), TankSurface_m2)));
        }

        if (plan.Bed is { } bed)
        {
            ImmutableArray<ExchangeBed> beds =
            [
                .. Enumerable.Repeat(HousingCatalog.MixedBed(bed), plan.Beds),
            ];
            stages.Add(new BedStage(BedName, beds, plan.Arrangement, request.Line));
        }

        return new Train(stages.ToImmutable());
    }

    /// <summary>What a plan is bought as, first fills included.</summary>
    public static IEnumerable<(string Item, decimal Units)> Parts(TrainPlan plan)
    {
        yield return ("meter", 1m);
        if (plan.Sediment)
        {
            yield return ("housing-2.5x10", 1m);
            yield return ("sediment-cartridge", 1m);
        }

        if (plan.Carbon is { CarbonBlock: { } block } carbon)
        {
            yield return (carbon.Id, 1m);
            yield return ("carbon", (decimal)block.Liters);
        }

        if (plan.Softener is { } softener)
        {
            yield return (softener.Id, 1m);
            yield return ("softener-resin", (decimal)softener.Resin.Liters);
        }

        if (plan.Osmosis is { } osmosis)
        {
            yield return ("membrane-housing", osmosis.Elements);
            yield return ("membrane", osmosis.Elements);
            yield return ("storage-tank", 1m);
            yield return ("pump", TankPumps + (osmosis.Boosted ? 1m : 0m));
        }

        if (plan.Bed is { } bed)
        {
            yield return (bed.Id, plan.Beds);
            yield return ("mixed-bed-resin", plan.Beds * (decimal)bed.Resin.Liters);
        }
    }

    /// <summary>Figures of a plan from what it uses up.</summary>
    public static TrainChoice Figures(
        TrainPlan plan,
        ChoiceRequest request,
        IReadOnlyList<Consumption> consumptions,
        YearlyUse use,
        double? lifeWeeks,
        bool full
    )
    {
        decimal perYear =
            (use.Water_m3 * request.Prices.WaterPerCubicMeter)
            + (use.Drained_m3 * request.Prices.DisposalPerCubicMeter)
            + (use.Electricity_kWh * request.Prices.ElectricityPerKilowattHour);
        decimal visits = 0m;
        foreach (Consumption consumption in consumptions)
        {
            perYear += Costing.PerYear(request.Prices, consumption);
            visits += consumption.ChangesPerYear;
        }

        return new TrainChoice(
            plan,
            Costing.FirstCost(request.Prices, Parts(plan), out _),
            perYear,
            (double)visits,
            0.0,
            0.0,
            lifeWeeks,
            full
        );
    }

    /// <summary>Changes in a year of something that lasts so many cubic meters, or months by the calendar.</summary>
    public static decimal Changes(double weekly_m3, double? life_m3, double? months)
    {
        decimal byWater =
            life_m3 is { } life && life > 0.0
                ? WeeksPerYear * (decimal)(weekly_m3 / double.Max(life, 1e-4))
                : 0m;
        decimal byCalendar = months is { } m ? 12m / (decimal)m : 0m;
        return decimal.Round(decimal.Max(byWater, byCalendar), 4);
    }

    /// <summary>Months by the calendar for sediment and carbon [month].</summary>
    public static double Calendar => CalendarMonths;

    /// <summary>Months by the calendar for a membrane [month].</summary>
    public static double MembraneCalendar => MembraneMonths;
}
