using System.Globalization;
using System.Text.Json;
using Rinsewright.Treatment;

namespace Rinsewright.Cli;

/// <summary>The same week with deionised water for what the habit says, for everything, and for the last rinse only.</summary>
/// <param name="Name">Which of them.</param>
/// <param name="Habit">The week.</param>
/// <param name="Report">Its walk.</param>
/// <param name="Bill">What it costs, when prices are given.</param>
internal sealed record TrainSplits(string Name, Habit Habit, TrainReport Report, Bill? Bill)
{
    /// <summary>Walks the three weeks; those that were not solved are left out.</summary>
    public static IReadOnlyList<TrainSplits> Of(
        Train train,
        TrainWater source,
        Habit habit,
        Prices? prices,
        CancellationToken cancellation
    )
    {
        (string Name, Habit Week)[] weeks =
        [
            ("as-stated", habit),
            ("everything", habit.Everything),
            ("last-rinse-only", habit.LastRinseOnly),
        ];
        var walked = new TrainReport?[weeks.Length];
        Parallel.For(
            0,
            weeks.Length,
            i => walked[i] = train.Walk(source, weeks[i].Week, cancellation: cancellation)
        );
        return
        [
            .. weeks
                .Zip(walked)
                .Where(w => w.Second is not null)
                .Select(w => new TrainSplits(
                    w.First.Name,
                    w.First.Week,
                    w.Second!,
                    prices is null
                        ? null
                        : Costing.Yearly(prices, w.Second!.Consumptions, w.Second.YearlyUse(w.First.Week))
                )),
        ];
    }

    public static void Write(Terminal terminal, IReadOnlyList<TrainSplits> splits)
    {
        if (splits.Count == 0)
        {
            return;
        }

        terminal.WriteHeading("Deionised water for what?");
        terminal.WriteTable(
            [
                Heading.Words("for"),
                Heading.Number("L/week"),
                Heading.Number("beds last [weeks]"),
                Heading.Number("a wash"),
                Heading.Words("spots at worst"),
            ],
            splits.Select(s =>
                (IReadOnlyList<string>)
                    [
                        s.Name switch
                        {
                            "everything" => "everything",
                            "last-rinse-only" => "what dries on the panel only",
                            _ => "what the habit says",
                        },
                        (1e3 * s.Deionised_m3).ToString("#,0", CultureInfo.InvariantCulture),
                        s.Weeks?.ToString("F1", CultureInfo.InvariantCulture) ?? "–",
                        s.Bill?.PerWash?.ToString("F2", CultureInfo.InvariantCulture) ?? "–",
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
            writer.WriteString("deionised_for", split.Name);
            writer.WriteNumber("deionised_L_per_week", 1e3 * split.Deionised_m3, 6);
            writer.WriteNumber("bed_life_weeks", split.Weeks ?? double.NaN, 5);
            writer.WriteNumber("cost_per_wash", (double?)split.Bill?.PerWash ?? double.NaN, 5);
            writer.WriteString("spot_risk", TrainCommand.RiskWord(split.Worst));
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
    }

    private double Deionised_m3 => Habit.Weekly_m3(Outlet.Deionised);

    private double? Weeks =>
        Report.Stages.LastOrDefault(s => s.Bed is not null) is { } beds ? TrainWalks.Weeks(beds) : null;

    private SpotRisk Worst => Report.Tasks.Select(t => t.Risk).DefaultIfEmpty(SpotRisk.DoesNotDry).Max();
}
