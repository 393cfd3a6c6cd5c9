using System.CommandLine;
using System.Globalization;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log buy</c>.</summary>
internal static class LogBuy
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "buy",
            "Write what was bought and what it cost.",
            "rinsewright log buy \"mixed-bed resin\" \"189.00 EUR\" --volume \"25 L\" --keeps-until 2028-06-30"
        );
        Argument<string> what = verb.Takes<string>("WHAT", "What was bought.");
        Argument<string> price = verb.Takes<string>("PRICE", "What was paid in all, such as \"189.00 EUR\".");
        Option<CostKind> kind = verb.Has<CostKind>(
            "--kind",
            "Medium, Part, Water, Disposal or Consumable.",
            o => o.DefaultValueFactory = _ => CostKind.Medium
        );
        Option<int> count = verb.Has<int>("--count", "How many.", o => o.DefaultValueFactory = _ => 1);
        Option<string?> volume = verb.Has<string?>("--volume", "Volume of all together, such as \"25 L\".");
        Option<string?> batch = verb.Has<string?>("--batch", "Its batch.");
        Option<string?> keeps = verb.Has<string?>(
            "--keeps-until",
            "Last day of its shelf life, such as 2028-06-30."
        );
        Option<string?> at = verb.Has<string?>("--at", "When (UTC unless it says an offset). Default: now.");
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            (line, cancel) =>
                record.WriteAsync(
                    line,
                    (store, names, problems) =>
                    {
                        string paid = line.GetValue(price)!;
                        string[] words = paid.Split(' ', StringSplitOptions.RemoveEmptyEntries);
                        decimal amount = 0;
                        problems.Require(
                            words.Length == 2
                                && decimal.TryParse(
                                    words[0],
                                    NumberStyles.AllowDecimalPoint,
                                    CultureInfo.InvariantCulture,
                                    out amount
                                ),
                            "PRICE",
                            $"{paid}",
                            "an amount and its currency, such as \"189.00 EUR\""
                        );
                        DateOnly until = default;
                        string? keepsText = line.GetValue(keeps);
                        problems.Require(
                            keepsText is null
                                || DateOnly.TryParseExact(
                                    keepsText,
                                    "yyyy-MM-dd",
                                    CultureInfo.InvariantCulture,
                                    DateTimeStyles.None,
                                    out until
                                ),
                            "--keeps-until",
                            $"{keepsText}",
                            "a date such as 2028-06-30"
                        );
                        Volume? size = WrittenText.Quantity<Volume>(
                            "--volume",
                            line.GetValue(volume),
                            problems
                        );
                        DateTimeOffset when = record.At(line.GetValue(at), null, problems);
                        if (problems.Problems.Count > 0)
                        {
                            return Task.FromResult<IReadOnlyList<Entry>>([]);
                        }

                        var purchase = new Purchase
                        {
                            Id = store.Ids.Next<Purchase>(),
                            At = when,
                            Kind = line.GetValue(kind),
                            What = line.GetValue(what)!,
                            Count = line.GetValue(count),
                            Volume_m3 = size?.CubicMeters,
                            VolumeWritten = line.GetValue(volume),
                            Amount = amount,
                            Currency = words[1].ToUpperInvariant(),
                            Batch = line.GetValue(batch),
                            KeepsUntil = keepsText is null ? null : until,
                        };
                        return Task.FromResult<IReadOnlyList<Entry>>([purchase]);
                    },
                    cancel
                )
        );
        return verb;
    }
}
