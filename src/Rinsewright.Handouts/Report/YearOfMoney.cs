using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Handouts;

/// <summary>What one kind of thing cost.</summary>
public sealed record CostLineOf(string What, decimal Amount);

/// <summary>Twelve months of money in one currency, exact: what was bought, and the water drawn at its running price.</summary>
public sealed record YearOfMoney(
    string Currency,
    IReadOnlyList<CostLineOf> Lines,
    double Drawn_m3,
    int Washes
)
{
    public decimal Total => Lines.Sum(l => l.Amount);

    public decimal? PerLiter => Drawn_m3 > 0 ? Total / (1000m * (decimal)Drawn_m3) : null;

    public decimal? PerWash => Washes > 0 ? Total / Washes : null;

    /// <summary>The twelve months before an instant, one for each currency.</summary>
    public static async Task<IReadOnlyList<YearOfMoney>> OfAsync(
        LogbookContext context,
        DateTimeOffset now,
        CancellationToken cancel
    )
    {
        DateTimeOffset since = now.AddYears(-1);
        List<Purchase> purchases = await context
            .Live<Purchase>()
            .Where(p => p.At >= since && p.At <= now)
            .ToListAsync(cancel);
        List<Price> prices = await context.Live<Price>().ToListAsync(cancel);
        List<Draw> draws = await context
            .Live<Draw>()
            .Where(d => d.At >= since && d.At <= now)
            .ToListAsync(cancel);
        double drawn = draws.Sum(d => d.Volume_m3);
        int washes = draws.Sum(d => d.Washes ?? 0);
        List<YearOfMoney> years = [];
        foreach (
            string currency in purchases
                .Select(p => p.Currency)
                .Concat(prices.Select(p => p.Currency))
                .Distinct(StringComparer.Ordinal)
                .Order(StringComparer.Ordinal)
        )
        {
            List<CostLineOf> lines =
            [
                .. purchases
                    .Where(p => string.Equals(p.Currency, currency, StringComparison.Ordinal))
                    .GroupBy(p => p.What, StringComparer.Ordinal)
                    .Select(g => new CostLineOf(g.Key, g.Sum(p => p.Amount))),
                .. prices
                    .Where(p =>
                        p.Basis is PriceBasis.PerCubicMeter
                        && string.Equals(p.Currency, currency, StringComparison.Ordinal)
                    )
                    .GroupBy(p => p.What, StringComparer.Ordinal)
                    .Select(g => new CostLineOf(g.Key, Running(g, draws))),
            ];
            years.Add(new YearOfMoney(currency, [.. lines.OrderByDescending(l => l.Amount)], drawn, washes));
        }

        return years;
    }

    /// <summary>Each draw at the price that held on its day.</summary>
    internal static decimal Running(IEnumerable<Price> prices, IReadOnlyCollection<Draw> draws)
    {
        Price[] byDay = [.. prices.OrderByDescending(p => p.From)];
        return decimal.Round(
            draws.Sum(d =>
                (decimal)d.Volume_m3
                * (byDay.FirstOrDefault(p => p.From <= DateOnly.FromDateTime(d.At.UtcDateTime))?.Amount ?? 0)
            ),
            2
        );
    }
}
