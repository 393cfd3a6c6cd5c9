namespace Rinsewright.Treatment;

/// <summary>What a stage uses up.</summary>
/// <param name="Stage">The stage.</param>
/// <param name="Item">What is changed, by its name in the prices file.</param>
/// <param name="Units">Units of it in one change.</param>
/// <param name="ChangesPerYear">Changes in a year.</param>
public sealed record Consumption(string Stage, string Item, decimal Units, decimal ChangesPerYear)
{
    /// <summary>Whether no number of changes would be enough, so that what it costs is not known.</summary>
    public bool IsUnknown { get; init; }
}

/// <summary>Water and electricity of a year.</summary>
/// <param name="Water_m3">Water taken from the utility [m³].</param>
/// <param name="Drained_m3">Water that goes to the sewer [m³].</param>
/// <param name="Used_m3">Water that reaches the tools [m³].</param>
/// <param name="Washes">Vehicles washed.</param>
/// <param name="Electricity_kWh">Electricity [kWh].</param>
public sealed record YearlyUse(
    decimal Water_m3,
    decimal Drained_m3,
    decimal Used_m3,
    decimal Washes,
    decimal Electricity_kWh
);

/// <summary>One line of the yearly bill.</summary>
/// <param name="What">What it is for.</param>
/// <param name="PerYear">Its cost in a year.</param>
public sealed record CostLine(string What, decimal PerYear);

/// <summary>A spare that should lie on the shelf.</summary>
/// <param name="Item">What it is.</param>
/// <param name="Units">Units to hold, in whole packs.</param>
/// <param name="Value">What they cost.</param>
/// <param name="LastsMonths">Months until they are used up at the usual rate [month].</param>
/// <param name="SpoilsFirst">Whether they outlast their shelf life.</param>
public sealed record Spare(string Item, decimal Units, decimal Value, double LastsMonths, bool SpoilsFirst);

/// <summary>The bill of a train.</summary>
/// <param name="Currency">Currency.</param>
/// <param name="Lines">Lines of the yearly bill.</param>
/// <param name="Spares">Spares to hold.</param>
/// <param name="PerYear">All lines together.</param>
/// <param name="PerLiter">Per liter of water that reaches a tool; nothing when none does.</param>
/// <param name="PerWash">Per vehicle; nothing when none is washed.</param>
/// <param name="Visits">Change-outs in a year.</param>
/// <param name="Unpriced">
/// Items that the bill leaves out: those that the prices file does not name, and those of a stage that no number of changes
/// would keep on its line.
/// </param>
public sealed record Bill(
    string Currency,
    IReadOnlyList<CostLine> Lines,
    IReadOnlyList<Spare> Spares,
    decimal PerYear,
    decimal? PerLiter,
    decimal? PerWash,
    decimal Visits,
    IReadOnlyList<string> Unpriced
);

/// <summary>Adds up what a train costs to run, in exact decimals (docs/models/costing.md).</summary>
public static class Costing
{
    private const decimal WeeksPerYear = 52m;
    private const double MonthsPerYear = 12.0;

    /// <summary>The bill of a year.</summary>
    /// <param name="prices">The user's prices.</param>
    /// <param name="consumptions">What the stages use up.</param>
    /// <param name="use">Water and electricity.</param>
    public static Bill Yearly(Prices prices, IReadOnlyList<Consumption> consumptions, YearlyUse use)
    {
        List<CostLine> lines = [];
        List<string> unpriced = [];
        foreach (Consumption consumption in consumptions)
        {
            bool isLeftOut = consumption.IsUnknown || !prices.Items.ContainsKey(consumption.Item);
            if (isLeftOut && !unpriced.Contains(consumption.Item, StringComparer.Ordinal))
            {
                unpriced.Add(consumption.Item);
            }

            lines.Add(new CostLine(consumption.Stage, PerYear(prices, consumption)));
        }

        lines.Add(new CostLine("water", use.Water_m3 * prices.WaterPerCubicMeter));
        lines.Add(new CostLine("sewer", use.Drained_m3 * prices.DisposalPerCubicMeter));
        lines.Add(new CostLine("electricity", use.Electricity_kWh * prices.ElectricityPerKilowattHour));
        decimal total = lines.Sum(l => l.PerYear); // eq. costing-2
        return new Bill(
            prices.Currency,
            lines,
            Spares(prices, consumptions),
            total,
            use.Used_m3 > 0m ? total / (1000m * use.Used_m3) : null,
            use.Washes > 0m ? total / use.Washes : null,
            consumptions.Sum(c => c.ChangesPerYear),
            unpriced
        );
    }

    /// <summary>What a stage uses up costs in a year.</summary>
    internal static decimal PerYear(Prices prices, Consumption consumption)
    {
        decimal material = prices.Items.TryGetValue(consumption.Item, out PricedItem? item)
            ? consumption.Units * (item.Each + item.Disposal)
            : 0m;
        return consumption.ChangesPerYear * (material + prices.Visit); // eq. costing-1
    }

    /// <summary>What the parts of a train cost once.</summary>
    /// <param name="prices">The user's prices.</param>
    /// <param name="parts">Housings, tanks, pumps and first fills with the number of units of each.</param>
    /// <param name="unpriced">Parts that the prices file does not name; the sum leaves them out.</param>
    public static decimal FirstCost(
        Prices prices,
        IEnumerable<(string Item, decimal Units)> parts,
        out IReadOnlyList<string> unpriced
    )
    {
        decimal sum = 0m;
        List<string> missing = [];
        foreach ((string name, decimal units) in parts)
        {
            if (prices.Items.TryGetValue(name, out PricedItem? item))
            {
                sum += units * item.Each; // eq. costing-3
            }
            else
            {
                missing.Add(name);
            }
        }

        unpriced = [.. missing.Distinct(StringComparer.Ordinal)];
        return sum;
    }

    /// <summary>
    /// Years until a change that costs more at first has paid for itself by costing less each year [year]; nothing when it
    /// never does.
    /// </summary>
    /// <param name="extraFirstCost">What the change costs once.</param>
    /// <param name="savedPerYear">What it saves each year.</param>
    public static decimal? PayBackYears(decimal extraFirstCost, decimal savedPerYear) =>
        savedPerYear < 0m || (savedPerYear == 0m && extraFirstCost >= 0m) ? null
        : extraFirstCost <= 0m ? 0m
        : extraFirstCost / savedPerYear; // eq. costing-4

    private static List<Spare> Spares(Prices prices, IReadOnlyList<Consumption> consumptions)
    {
        List<Spare> spares = [];
        foreach (
            IGrouping<string, Consumption> group in consumptions.GroupBy(c => c.Item, StringComparer.Ordinal)
        )
        {
            decimal perYear = group.Sum(c => c.Units * c.ChangesPerYear);
            if (perYear <= 0m || !prices.Items.TryGetValue(group.Key, out PricedItem? item))
            {
                continue;
            }

            decimal waiting = perYear * (decimal)prices.LeadTimeWeeks / WeeksPerYear;
            decimal wanted = decimal.Max(group.Max(c => c.Units), waiting);
            decimal pack = item.Pack > 0m ? item.Pack : 1m;
            decimal units = decimal.Ceiling(wanted / pack) * pack; // eq. costing-5
            double months = MonthsPerYear * (double)(units / perYear);
            spares.Add(
                new Spare(
                    group.Key,
                    units,
                    units * item.Each,
                    months,
                    item.ShelfLifeMonths is { } life && months > life
                )
            );
        }

        return spares;
    }
}
