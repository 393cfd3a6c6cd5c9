using System.Collections.Frozen;
using System.Globalization;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Handouts.Lives;

/// <summary>
/// Answers anyone for their own water: how long a mixed bed lasts, what a wash costs, what dries, and what would help, each
/// with its range. The pages and the command line ask here.
/// </summary>
public sealed class ForYourWater(SourceWaters waters, FillLives lives)
{
    private const string Resin = "mixed-bed-resin";
    private const string UsualPerWash = "25 L";
    private const double MostWashes = 10_000;
    private const double FreshShare = 0.1; // of the life: the middle of its quiet part
    private const double DaysPerWeek = 7;
    private const decimal WeeksPerYear = 52m;
    private const decimal MostMoney = 1_000_000m;
    private readonly FirstMinute _first = new(waters, lives);

    /// <summary>The answer, or nothing with everything that is wrong with the question.</summary>
    public YourAnswer? Of(YourQuestion asked, out IReadOnlyList<InputProblem> problems)
    {
        List<InputProblem> found = [];
        string? hardness = asked.First.Water.Hardness;
        if (!string.IsNullOrWhiteSpace(asked.Origin))
        {
            WaterOrigin? origin = WaterOrigin.All.FirstOrDefault(o =>
                string.Equals(o.Word, asked.Origin.Trim(), StringComparison.OrdinalIgnoreCase)
            );
            if (origin is null)
            {
                found.Add(
                    new InputProblem(
                        "origin",
                        asked.Origin,
                        $"one of {string.Join(", ", WaterOrigin.All.Select(o => o.Word))}"
                    )
                );
            }

            hardness = string.IsNullOrWhiteSpace(hardness) ? origin?.Hardness : hardness;
        }

        Volume perWash =
            FirstMinute.Quantity<Volume>("per wash", asked.PerWash ?? UsualPerWash, "L", found) ?? default;
        if (found.Count == 0 && perWash.Liters is not (>= 0.1 * (1 - 1e-9) and <= 100_000 * (1 + 1e-9)))
        {
            found.Add(new InputProblem("per wash", asked.PerWash!, "a volume from 0.1 to 100,000 L"));
        }

        if (asked.WashesPerWeek is { } washes && !(washes > 0 && washes <= MostWashes))
        {
            found.Add(
                new InputProblem(
                    "washes",
                    washes.ToString(CultureInfo.InvariantCulture),
                    "a number above zero, at most 10000, of washes a week"
                )
            );
        }

        Price("resin price", asked.ResinPerLiter, found);
        Price("visit", asked.Visit, found);
        Price("water price", asked.WaterPerCubicMeter, found);
        FirstQuestion question = asked.First with
        {
            Water = asked.First.Water with { Hardness = hardness },
            Weekly = asked.WashesPerWeek is { } week
                ? string.Create(CultureInfo.InvariantCulture, $"{week * perWash.Liters:R} L")
                : asked.First.Weekly,
        };
        FirstAnswer? first = _first.Of(question, out IReadOnlyList<InputProblem> wrong);
        problems = [.. found, .. wrong];
        if (first is null || found.Count > 0)
        {
            return null;
        }

        Interval liters = first.Life.Liters;
        MoneyRange? costPerWash = null;
        MoneyRange? costPerYear = null;
        if (asked.ResinPerLiter is not null)
        {
            Bill?[] bills =
            [
                .. new[] { liters.High, liters.Middle, liters.Low }.Select(l =>
                    BillOf(asked, first, perWash, l)
                ),
            ];
            costPerWash = Of(bills, b => b.PerWash);
            costPerYear = asked.WashesPerWeek is null ? null : Of(bills, b => b.PerYear);
        }

        return new YourAnswer(
            first,
            perWash.Liters,
            liters.Select(l => l / perWash.Liters),
            first.Days?.Select(d => d / DaysPerWeek),
            costPerWash,
            costPerYear,
            SpotsOf(first)
        );
    }

    /// <summary>What would help, the most litres of a litre of resin first; what cannot be computed is left out.</summary>
    public IReadOnlyList<Help> Helps(YourAnswer answer)
    {
        LifeQuestion now = answer.First.Question;
        BedDesign bed = now.Beds[^1];
        (HelpKind Kind, LifeQuestion Question)[] changes =
        [
            (HelpKind.GentlerFlow, now with { Flow_L_min = 0.5 * now.Flow_L_min }),
            (HelpKind.MoreResin, now with { Beds = [bed with { Liters = 2 * bed.Liters }] }),
            (HelpKind.SecondBed, now with { Beds = [bed, bed with { Name = "Second bed" }] }),
            (HelpKind.Osmosis, now with { BehindOsmosis = true }),
        ];
        double before = answer.First.Life.Liters.Middle / bed.Liters;
        List<Help> helps = [];
        foreach ((HelpKind kind, LifeQuestion question) in changes)
        {
            if (lives.Of(question) is { } life)
            {
                double after = life.Liters.Middle / question.Beds.Sum(b => b.Liters);
                helps.Add(new Help(kind, life.Liters, before > 0 ? after / before : double.PositiveInfinity));
            }
        }

        return [.. helps.OrderByDescending(h => h.PerLiterOfResin)];
    }

    /// <summary>
    /// A year of washes with a bed that lasts so many litres [L], one wash a week where none is said; nothing when it does not last at all.
    /// </summary>
    private static Bill? BillOf(YourQuestion asked, FirstAnswer first, Volume perWash, double liters)
    {
        if (!(liters > 1e-3))
        {
            return null;
        }

        decimal washes = WeeksPerYear * (decimal)(asked.WashesPerWeek ?? 1);
        decimal drawn_m3 = washes * (decimal)perWash.CubicMeters;
        decimal changes = double.IsFinite(liters) ? 1000m * drawn_m3 / (decimal)liters : 0m;
        var prices = new Prices
        {
            Visit = asked.Visit ?? 0m,
            WaterPerCubicMeter = asked.WaterPerCubicMeter ?? 0m,
            Items = new Dictionary<string, PricedItem>(StringComparer.Ordinal)
            {
                [Resin] = new(asked.ResinPerLiter ?? 0m, 0m, 1m, null),
            }.ToFrozenDictionary(StringComparer.Ordinal),
        };
        return Costing.Yearly(
            prices,
            [new Consumption("Mixed bed", Resin, (decimal)first.Question.Beds[^1].Liters, changes)],
            new YearlyUse(drawn_m3, 0m, drawn_m3, washes, 0m)
        );
    }

    private static MoneyRange Of(Bill?[] bills, Func<Bill, decimal?> of) =>
        new(
            bills[0] is { } low ? of(low) : null,
            bills[1] is { } middle ? of(middle) : null,
            bills[2] is { } high ? of(high) : null
        );

    private static IReadOnlyList<SpotsOf> SpotsOf(FirstAnswer first)
    {
        FillLife life = first.Life;
        (EffluentReport Run, double Liters)[] runs =
        [
            (life.Early, life.Liters.Low),
            (life.Report, life.Liters.Middle),
            (life.Late, life.Liters.High),
        ];
        Lives.SpotsOf At(SpotMoment moment, Func<EffluentReport, double, EffluentSample> sample)
        {
            EffluentSample[] samples = [.. runs.Select(r => sample(r.Run, r.Liters))];
            Interval Over(Func<EffluentSample, double> of)
            {
                double[] sorted = [.. samples.Select(of).Order()];
                return new Interval(sorted[0], of(samples[1]), sorted[^1]);
            }

            return new Lives.SpotsOf(
                moment,
                Over(s => s.Spots.MilligramsPerSquareMeter),
                Over(s => s.Residue),
                Over(s => s.Silica)
            );
        }

        return
        [
            At(SpotMoment.Raw, (run, _) => run.FeedWater()),
            At(SpotMoment.Fresh, (run, liters) => run.At(Volume.FromLiters(FreshShare * Last(run, liters)))),
            At(SpotMoment.AtLine, (run, liters) => run.At(Volume.FromLiters(Last(run, liters)))),
        ];
    }

    private static double Last(EffluentReport run, double liters) =>
        double.Min(liters, run.Samples[^1].Liters);

    private static void Price(string place, decimal? amount, List<InputProblem> problems)
    {
        if (amount is < 0m or > MostMoney)
        {
            problems.Add(
                new InputProblem(
                    place,
                    amount.Value.ToString(CultureInfo.InvariantCulture),
                    "an amount from zero to a million"
                )
            );
        }
    }
}
