using System.Globalization;
using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Cli;

/// <summary>The same week with another use of deionised water, or with another rig, and what the change is worth.</summary>
/// <param name="Rig">Name of the rig.</param>
/// <param name="Use">What deionised water is used for.</param>
/// <param name="Habit">The week.</param>
/// <param name="Report">Its walk.</param>
/// <param name="Bill">What it costs, when prices are given.</param>
internal sealed record TrainSplits(string Rig, string Use, Habit Habit, TrainReport Report, Bill? Bill)
{
    private const string AsStated = "as-stated";

    /// <summary>What the change saves each year against the first; nothing without prices and for the first itself.</summary>
    public decimal? SavedPerYear { get; private init; }

    /// <summary>Years until the change has paid for itself; nothing when it never does.</summary>
    public decimal? PayBackYears { get; private init; }

    /// <summary>What a change costs once, if it is stated sensibly.</summary>
    /// <param name="stated">What was given.</param>
    /// <param name="comparable">Whether there are prices and something to compare.</param>
    /// <param name="problems">What is wrong with it.</param>
    public static decimal ChangeCost(decimal stated, bool comparable, List<InputProblem> problems)
    {
        string text = stated.ToString(CultureInfo.InvariantCulture);
        if (stated < 0m)
        {
            problems.Add(new("--change-cost", text, "an amount of zero or more"));
        }
        else if (stated > 0m && !comparable)
        {
            problems.Add(new("--change-cost", text, "--prices too, and --compare or --instead"));
        }

        return stated;
    }

    /// <summary>Walks the weeks that are to be compared; those that were not solved are left out.</summary>
    public static IReadOnlyList<TrainSplits> Of(
        (string Name, Train Train) rig,
        (string Name, Train Train)? other,
        TrainWater source,
        Habit habit,
        bool uses,
        Prices? prices,
        decimal changeCost,
        CancellationToken cancellation
    )
    {
        List<((string Name, Train Train) Rig, string Use, Habit Week)> weeks = [];
        if (uses || other is not null)
        {
            weeks.Add((rig, AsStated, habit));
        }

        if (uses)
        {
            weeks.Add((rig, "everything", habit.Everything));
            weeks.Add((rig, "last-rinse-only", habit.LastRinseOnly));
        }

        if (other is { } second)
        {
            weeks.Add((second, AsStated, habit));
        }

        var walked = new TrainReport?[weeks.Count];
        Parallel.For(
            0,
            weeks.Count,
            i => walked[i] = weeks[i].Rig.Train.Walk(source, weeks[i].Week, cancellation: cancellation)
        );
        List<TrainSplits> splits =
        [
            .. weeks
                .Zip(walked)
                .Where(w => w.Second is not null)
                .Select(w => new TrainSplits(
                    w.First.Rig.Name,
                    w.First.Use,
                    w.First.Week,
                    w.Second!,
                    prices is null
                        ? null
                        : Costing.Yearly(prices, w.Second!.Consumptions, w.Second.YearlyUse(w.First.Week))
                )),
        ];
        return [.. splits.Select((s, i) => i == 0 ? s : s.Against(splits[0], changeCost))];
    }

    public static void Write(Terminal terminal, IReadOnlyList<TrainSplits> splits)
    {
        if (splits.Count == 0)
        {
            return;
        }

        terminal.WriteHeading("What if?");
        bool rigs = splits.Any(s => !string.Equals(s.Rig, splits[0].Rig, StringComparison.Ordinal));
        terminal.WriteTable(
            [
                Heading.Words("deionised for"),
                Heading.Number("L/week"),
                Heading.Number("beds last [weeks]"),
                Heading.Number("a year"),
                Heading.Number("a wash"),
                Heading.Number("saves a year"),
                Heading.Number("pays back [years]"),
                Heading.Words("spots at worst"),
            ],
            splits.Select(s =>
                (IReadOnlyList<string>)
                    [
                        s.InWords + (rigs ? $", {s.Rig}" : ""),
                        (1e3 * s.Deionised_m3).ToString("#,0", CultureInfo.InvariantCulture),
                        s.Weeks?.ToString("F1", CultureInfo.InvariantCulture) ?? "–",
                        Money(s.Bill?.PerYear),
                        Money(s.Bill?.PerWash),
                        Money(s.SavedPerYear),
                        s.SavedPerYear is null ? "–"
                        : s.PayBackYears is { } years ? Years(years)
                        : "never",
                        TrainCommand.RiskWord(s.Worst),
                    ]
            )
        );
    }

    public static void WriteJson(Utf8JsonWriter writer, IReadOnlyList<TrainSplits> splits)
    {
        writer.WriteStartArray("splits");
        foreach (TrainSplits split in splits)
        {
            writer.WriteStartObject();
            writer.WriteString("rig", split.Rig);
            writer.WriteString("deionised_for", split.Use);
            writer.WriteNumber("deionised_L_per_week", 1e3 * split.Deionised_m3, 6);
            writer.WriteNumber("bed_life_weeks", split.Weeks ?? double.NaN, 5);
            writer.WriteNumber("cost_per_year", (double?)split.Bill?.PerYear ?? double.NaN, 7);
            writer.WriteNumber("cost_per_wash", (double?)split.Bill?.PerWash ?? double.NaN, 5);
            writer.WriteNumber("saved_per_year", (double?)split.SavedPerYear ?? double.NaN, 7);
            writer.WriteNumber("pay_back_years", (double?)split.PayBackYears ?? double.NaN, 4);
            writer.WriteString("spot_risk", TrainCommand.RiskWord(split.Worst));
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
    }

    private TrainSplits Against(TrainSplits first, decimal changeCost)
    {
        decimal? saved = first.Bill?.PerYear - Bill?.PerYear;
        return this with
        {
            SavedPerYear = saved,
            PayBackYears = saved is { } sum ? Costing.PayBackYears(changeCost, sum) : null,
        };
    }

    private string InWords =>
        Use switch
        {
            "everything" => "everything",
            "last-rinse-only" => "what dries on the panel only",
            _ => "what the habit says",
        };

    private double Deionised_m3 => Habit.Weekly_m3(Outlet.Deionised);

    private double? Weeks =>
        Report.Stages.LastOrDefault(s => s.Bed is not null) is { } beds ? TrainWalks.Weeks(beds) : null;

    private SpotRisk Worst => Report.Tasks.Select(t => t.Risk).DefaultIfEmpty(SpotRisk.DoesNotDry).Max();

    private static string Money(decimal? amount) =>
        amount?.ToString("F2", CultureInfo.InvariantCulture) ?? "–";

    internal static string Years(decimal years) =>
        years.ToString(years < 1m ? "0.00" : "0.0", CultureInfo.InvariantCulture);
}
