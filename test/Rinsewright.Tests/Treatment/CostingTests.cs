using System.Collections.Frozen;
using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Tests.Treatment;

public sealed class CostingTests
{
    private static readonly Prices Plain = new()
    {
        Currency = "EUR",
        WaterPerCubicMeter = 2m,
        DisposalPerCubicMeter = 3m,
        ElectricityPerKilowattHour = 0.3m,
        Visit = 5m,
        LeadTimeWeeks = 2,
        Items = new Dictionary<string, PricedItem>(StringComparer.Ordinal)
        {
            ["mixed-bed-resin"] = new(10m, 0.5m, 5m, 12),
            ["membrane"] = new(55m, 1m, 1m, null),
        }.ToFrozenDictionary(StringComparer.Ordinal),
    };

    [Fact]
    public void A_year_adds_up_by_hand_to_the_last_cent()
    {
        Bill bill = Costing.Yearly(
            Plain,
            [new Consumption("bed", "mixed-bed-resin", 4m, 6.5m)],
            new YearlyUse(30m, 10m, 20m, 500m, 40m)
        );
        // 6.5 (4 × 10.5 + 5) + 30 × 2 + 10 × 3 + 40 × 0.3
        Assert.Equal(305.5m + 60m + 30m + 12m, bill.PerYear);
        Assert.Equal(bill.PerYear / 20_000m, bill.PerLiter);
        Assert.Equal(bill.PerYear / 500m, bill.PerWash);
        Assert.Equal(bill.PerYear, bill.Lines.Sum(l => l.PerYear));
        Assert.Empty(bill.Unpriced);
    }

    [Fact]
    public void What_has_no_price_is_named_and_its_visits_still_count()
    {
        Bill bill = Costing.Yearly(
            Plain,
            [new Consumption("carbon", "carbon", 1.5m, 2m)],
            new YearlyUse(0m, 0m, 0m, 0m, 0m)
        );
        Assert.Equal("carbon", Assert.Single(bill.Unpriced));
        Assert.Equal(10m, bill.PerYear);
        Assert.Null(bill.PerLiter);
        Assert.Null(bill.PerWash);
    }

    [Fact]
    public void A_shelf_life_is_a_whole_number_of_months()
    {
        using JsonDocument json = JsonDocument.Parse(
            """{"currency": "EUR", "items": {"carbon": {"each": 4, "shelfLifeMonths": 6.5}}}"""
        );
        Assert.False(Prices.TryRead(json.RootElement, out _, out IReadOnlyList<InputProblem> problems));
        Assert.Equal("items.carbon.shelfLifeMonths", Assert.Single(problems).Place);
    }

    [Fact]
    public void What_no_number_of_changes_would_keep_on_its_line_is_named_as_left_out()
    {
        Bill bill = Costing.Yearly(
            Plain,
            [new Consumption("bed", "mixed-bed-resin", 4m, 0m) { IsUnknown = true }],
            new YearlyUse(0m, 0m, 0m, 0m, 0m)
        );
        Assert.Equal("mixed-bed-resin", Assert.Single(bill.Unpriced));
    }

    [Fact]
    public void Spares_come_in_whole_packs_and_are_marked_when_they_outlast_their_shelf_life()
    {
        Spare busy = SpareOf(changesPerYear: 12m);
        Spare idle = SpareOf(changesPerYear: 0.5m);
        Assert.Equal(5m, busy.Units);
        Assert.Equal(50m, busy.Value);
        Assert.False(busy.SpoilsFirst);
        Assert.True(idle.SpoilsFirst);
        Assert.Equal(30.0, idle.LastsMonths, 9);
    }

    [Fact]
    public void A_change_pays_back_at_once_in_time_or_never()
    {
        Assert.Equal(0m, Costing.PayBackYears(-5m, 10m));
        Assert.Equal(0m, Costing.PayBackYears(-5m, 0m));
        Assert.Null(Costing.PayBackYears(-5m, -10m));
        Assert.Null(Costing.PayBackYears(0m, 0m));
        Assert.Equal(2.5m, Costing.PayBackYears(100m, 40m));
        Assert.Null(Costing.PayBackYears(100m, 0m));
    }

    [Fact]
    public void The_example_prices_are_read_exactly()
    {
        using JsonDocument example = JsonDocument.Parse(
            File.ReadAllText(Repository.PathOf("examples/prices/example.json"))
        );
        Assert.True(
            Prices.TryRead(example.RootElement, out Prices? prices, out IReadOnlyList<InputProblem> problems)
        );
        Assert.Empty(problems);
        Assert.Equal(2.10m, prices.WaterPerCubicMeter);
        Assert.Equal(9.50m, prices.Items["mixed-bed-resin"].Each);
        Assert.Equal(12, prices.Items["mixed-bed-resin"].ShelfLifeMonths);
    }

    [Fact]
    public void Bad_prices_are_reported_together_with_their_places()
    {
        using JsonDocument bad = JsonDocument.Parse(
            """{"waterPerCubicMeter": "cheap", "items": {"carbon": {"each": -1, "shelfLifeMonths": 0}}}"""
        );
        Assert.False(Prices.TryRead(bad.RootElement, out _, out IReadOnlyList<InputProblem> problems));
        string places = string.Join(' ', problems.Select(p => p.Place).Order(StringComparer.Ordinal));
        Assert.Equal("items.carbon.each items.carbon.shelfLifeMonths waterPerCubicMeter", places);
    }

    private static Spare SpareOf(decimal changesPerYear) =>
        Assert.Single(
            Costing
                .Yearly(
                    Plain,
                    [new Consumption("bed", "mixed-bed-resin", 4m, changesPerYear)],
                    new YearlyUse(0m, 0m, 0m, 0m, 0m)
                )
                .Spares
        );
}
