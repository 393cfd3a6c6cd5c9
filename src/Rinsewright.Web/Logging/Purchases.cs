using System.ComponentModel;
using System.Globalization;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Logging;

/// <summary>Something bought; texts with their units.</summary>
public sealed record NewPurchase
{
    [Description("What was bought: mixed-bed resin.")]
    public string? What { get; init; }

    [Description("medium, part, water, disposal or consumable.")]
    public string? Kind { get; init; }

    [Description("What was paid for all together, \"179.00\".")]
    public string? Amount { get; init; }

    [Description("ISO 4217 code, \"EUR\".")]
    public string? Currency { get; init; }

    [Description("Volume of a medium, \"25 L\".")]
    public string? Volume { get; init; }

    [Description("Last day on which it is fit for use.")]
    public DateOnly? KeepsUntil { get; init; }

    [Description("Who writes it.")]
    public string? By { get; init; }

    /// <summary>With a bare number taken in the units of who writes it.</summary>
    internal NewPurchase In(Speech speech) => this with { Volume = speech.Given(Volume, "gal", "L") };
}

/// <summary>Writes what was bought into the record.</summary>
public sealed class Purchases(LogbookStore store)
{
    /// <summary>Writes one, or names everything that is wrong with it.</summary>
    public async Task<WriteOutcome> WriteAsync(NewPurchase asked, CancellationToken cancel)
    {
        List<InputProblem> problems = [];
        Volume? volume = FirstMinute.Quantity<Volume>("volume", asked.Volume, "L", problems);
        if (
            !decimal.TryParse(
                asked.Amount,
                NumberStyles.Number,
                CultureInfo.InvariantCulture,
                out decimal amount
            )
        )
        {
            problems.Add(new InputProblem("amount", asked.Amount ?? "", "a number such as 179.00"));
        }

        if (!Enum.TryParse(asked.Kind, ignoreCase: true, out CostKind kind) || !Enum.IsDefined(kind))
        {
            problems.Add(
                new InputProblem(
                    "kind",
                    asked.Kind ?? "",
                    $"one of {string.Join(", ", Enum.GetNames<CostKind>()).ToLowerInvariant()}"
                )
            );
        }

        return problems.Count > 0
            ? new WriteOutcome(null, problems)
            : await store.WriteAsync(
                new EditDraft(LogEntries.Author(asked.By)),
                [
                    new Purchase
                    {
                        Id = store.Ids.Next<Purchase>(),
                        At = Instant.Now(store.Clock),
                        Kind = kind,
                        What = asked.What?.Trim() ?? "",
                        Amount = amount,
                        Currency = (asked.Currency ?? "").ToUpperInvariant(),
                        Volume_m3 = volume?.CubicMeters,
                        VolumeWritten = asked.Volume,
                        KeepsUntil = asked.KeepsUntil,
                    },
                ],
                cancel
            );
    }
}
