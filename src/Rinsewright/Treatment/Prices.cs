using System.Collections.Frozen;
using System.Diagnostics.CodeAnalysis;
using System.Text.Json;
using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>What one thing costs.</summary>
/// <param name="Each">Price of one unit: a liter of medium, a cartridge, a housing.</param>
/// <param name="Disposal">Cost of getting rid of one unit when it is spent.</param>
/// <param name="Pack">Units in the smallest pack that is sold.</param>
/// <param name="ShelfLifeMonths">Months that a spare unit keeps, if it does not keep for ever [month].</param>
public sealed record PricedItem(decimal Each, decimal Disposal, decimal Pack, int? ShelfLifeMonths);

/// <summary>A user's prices, in one currency, exact decimals.</summary>
public sealed record Prices
{
    private const double MostMonths = 240.0;

    /// <summary>Currency, as the user writes it.</summary>
    public string Currency { get; init; } = "";

    /// <summary>Price of a cubic meter of water from the utility.</summary>
    public decimal WaterPerCubicMeter { get; init; }

    /// <summary>Price of getting rid of a cubic meter (sewer charge).</summary>
    public decimal DisposalPerCubicMeter { get; init; }

    /// <summary>Price of a kilowatt-hour.</summary>
    public decimal ElectricityPerKilowattHour { get; init; }

    /// <summary>What one change-out costs in time or call-out, whatever is changed.</summary>
    public decimal Visit { get; init; }

    /// <summary>Weeks from order to delivery [week].</summary>
    public double LeadTimeWeeks { get; init; } = 1.0;

    /// <summary>Priced things by their names, such as mixed-bed-resin (docs/formats/prices.md).</summary>
    public FrozenDictionary<string, PricedItem> Items { get; init; } =
        FrozenDictionary<string, PricedItem>.Empty;

    /// <summary>Reads a prices file (docs/formats/prices.md).</summary>
    /// <param name="root">Root of the file.</param>
    /// <param name="prices">What it says.</param>
    /// <param name="problems">Everything wrong with it; empty exactly when it is right.</param>
    public static bool TryRead(
        JsonElement root,
        [NotNullWhen(true)] out Prices? prices,
        out IReadOnlyList<InputProblem> problems
    )
    {
        List<InputProblem> found = [];
        var reading = new JsonReading(
            root,
            "",
            found,
            "currency",
            "waterPerCubicMeter",
            "disposalPerCubicMeter",
            "electricityPerKilowattHour",
            "visit",
            "leadTimeWeeks",
            "items"
        );
        var read = new Prices
        {
            Currency = reading.Text("currency", ""),
            WaterPerCubicMeter = reading.Price("waterPerCubicMeter"),
            DisposalPerCubicMeter = reading.Price("disposalPerCubicMeter"),
            ElectricityPerKilowattHour = reading.Price("electricityPerKilowattHour"),
            Visit = reading.Price("visit"),
            LeadTimeWeeks = reading.Number("leadTimeWeeks", 0.0, 52.0, 1.0),
            Items = ReadItems(reading.Element("items"), found),
        };
        if (read.Currency.Length == 0 && found.Count == 0)
        {
            found.Add(
                new InputProblem(
                    "currency",
                    Sentence.Of("missing"),
                    "the currency of the prices, such as \"EUR\""
                )
            );
        }

        problems = found;
        prices = found.Count == 0 ? read : null;
        return prices is not null;
    }

    private static FrozenDictionary<string, PricedItem> ReadItems(
        JsonElement? element,
        List<InputProblem> problems
    )
    {
        if (element is not { } items)
        {
            return FrozenDictionary<string, PricedItem>.Empty;
        }

        if (items.ValueKind != JsonValueKind.Object)
        {
            problems.Add(new InputProblem("items", items.GetRawText(), "one object { … }"));
            return FrozenDictionary<string, PricedItem>.Empty;
        }

        Dictionary<string, PricedItem> read = new(StringComparer.Ordinal);
        foreach (JsonProperty item in items.EnumerateObject())
        {
            var reading = new JsonReading(
                item.Value,
                $"items.{item.Name}",
                problems,
                "each",
                "disposal",
                "pack",
                "shelfLifeMonths"
            );
            read[item.Name] = new PricedItem(
                reading.Price("each"),
                reading.Price("disposal"),
                reading.Price("pack", 1m),
                ShelfLife(reading)
            );
        }

        return read.ToFrozenDictionary(StringComparer.Ordinal);
    }

    private static int? ShelfLife(JsonReading item)
    {
        if (!item.Has("shelfLifeMonths"))
        {
            return null;
        }

        double stated = item.Number("shelfLifeMonths", 1.0, MostMonths);
        int months = (int)stated;
        if (stated > months)
        {
            item.Refuse("shelfLifeMonths", $"a whole number from 1 to {MostMonths}");
        }

        return months;
    }
}
