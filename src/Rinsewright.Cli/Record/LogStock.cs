using System.CommandLine;
using System.Globalization;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log stock</c>: what stands on the shelf, and how long it keeps.</summary>
internal static class LogStock
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "stock",
            "Show what is left of every medium that was bought, and how long it keeps.",
            "rinsewright log stock"
        );
        Option<DateOnly?> on = verb.Has<DateOnly?>(
            "--on",
            "The day to count the shelf life from. Default: today."
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                await using LogbookContext context = store.Read();
                DateOnly today =
                    line.GetValue(on) ?? DateOnly.FromDateTime(terminal.Clock.GetUtcNow().UtcDateTime);
                IReadOnlyList<StockItem> stock = StockItem.Count(
                    await context.Live<Purchase>().ToListAsync(cancel),
                    await context.Live<Fill>().ToListAsync(cancel),
                    today
                );
                return Verb.WantsJson(line)
                    ? WriteJson(terminal, stock, today)
                    : WriteText(terminal, stock, today);
            }
        );
        return verb;
    }

    private static int WriteJson(Terminal terminal, IReadOnlyList<StockItem> stock, DateOnly today) =>
        terminal.WriteJson(json =>
        {
            json.WriteString("on", Day(today));
            json.WriteStartArray("stock");
            foreach (StockItem item in stock)
            {
                json.WriteStartObject();
                json.WriteString("what", item.Purchase.What);
                json.WriteString("batch", item.Purchase.Batch);
                json.WriteString("bought", item.Purchase.At);
                json.WriteNumber("left_liters", 1000 * item.Left_m3, JsonOutput.Digits);
                json.WriteString("keeps_until", item.Purchase.KeepsUntil is { } until ? Day(until) : null);
                json.WriteBoolean("is_past_its_date", item.IsPastItsDate);
                json.WriteEndObject();
            }

            json.WriteEndArray();
        });

    private static int WriteText(Terminal terminal, IReadOnlyList<StockItem> stock, DateOnly today)
    {
        if (stock.Count == 0)
        {
            terminal.WriteText("Nothing is on the shelf.");
            return ExitCode.Done;
        }

        terminal.WriteTable(
            [
                Heading.Words("What"),
                Heading.Words("batch"),
                Heading.Words("bought"),
                Heading.Number("left [L]"),
                Heading.Words("keeps until"),
                Heading.Number("days left"),
            ],
            stock.Select(item =>
                (IReadOnlyList<string>)
                    [
                        item.Purchase.What,
                        item.Purchase.Batch ?? "",
                        Day(DateOnly.FromDateTime(item.Purchase.At.UtcDateTime)),
                        (1000 * item.Left_m3).ToString("0.#", CultureInfo.InvariantCulture),
                        item.Purchase.KeepsUntil is { } until ? Day(until) : "not said",
                        item.Purchase.KeepsUntil is { } last
                            ? (last.DayNumber - today.DayNumber).ToString(CultureInfo.InvariantCulture)
                            : "",
                    ]
            )
        );
        foreach (StockItem item in stock.Where(s => s.IsPastItsDate))
        {
            terminal.WriteCaution($"{item.Purchase.What} {item.Purchase.Batch} is past its date.");
        }

        return ExitCode.Done;
    }

    private static string Day(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
}
