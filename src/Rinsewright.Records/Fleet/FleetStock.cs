using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Fleet;

/// <summary>What of one medium a van has to carry for a week.</summary>
/// <param name="Kind">Kind of the stages that it goes into.</param>
/// <param name="Medium">The medium, as the fills that are in now name it.</param>
/// <param name="Planned">Fills that the round changes.</param>
/// <param name="Expected">Fills to be expected, with those that may become due besides.</param>
/// <param name="NineInTen">Fills that are enough nine times in ten.</param>
/// <param name="Planned_L">Litres that the round takes; nothing for what is counted [L].</param>
/// <param name="Expected_L">Litres to be expected [L].</param>
/// <param name="NineInTen_L">Litres that are enough nine times in ten [L].</param>
public sealed record FleetStock(
    StageKind Kind,
    string Medium,
    int Planned,
    double Expected,
    int NineInTen,
    double? Planned_L,
    double? Expected_L,
    double? NineInTen_L
)
{
    private const double StepsPerCubicMeter = 1e4; // a tenth of a litre
    private const double StepsPerLiter = 10;

    /// <summary>What fills take, each of which is changed with some probability, independent of the others.</summary>
    /// <param name="stages">The fills.</param>
    /// <param name="chanceOf">Probability that one is changed; 1 for those of the round [-].</param>
    public static IReadOnlyList<FleetStock> Of(
        IEnumerable<FleetStage> stages,
        Func<FleetStage, double> chanceOf
    ) =>
        [
            .. stages
                .Select(s => (Stage: s, Chance: chanceOf(s)))
                .GroupBy(s => (s.Stage.Kind, s.Stage.Medium))
                .OrderByDescending(g => g.Key.Kind)
                .ThenBy(g => g.Key.Medium, StringComparer.OrdinalIgnoreCase)
                .Select(g => Of(g.Key.Kind, g.Key.Medium, [.. g]))
                .Where(s => s.NineInTen > 0),
        ];

    private static FleetStock Of(StageKind kind, string medium, List<(FleetStage Stage, double Chance)> fills)
    {
        bool isMeasured = fills.Exists(f => f.Stage.Volume_m3 is not null);
        List<(double Chance, int Steps)> amounts =
        [
            .. fills.Select(f =>
                (f.Chance, (int)Math.Ceiling(((f.Stage.Volume_m3 ?? 0) * StepsPerCubicMeter) - 1e-6))
            ),
        ];
        return new FleetStock(
            kind,
            medium,
            fills.Count(f => f.Chance >= 1),
            fills.Sum(f => f.Chance),
            ChanceSum.Enough([.. fills.Select(f => (f.Chance, 1))]),
            isMeasured ? amounts.Where(a => a.Chance >= 1).Sum(a => a.Steps) / StepsPerLiter : null,
            isMeasured ? amounts.Sum(a => a.Chance * a.Steps) / StepsPerLiter : null,
            isMeasured ? ChanceSum.Enough(amounts) / StepsPerLiter : null
        );
    }
}

/// <summary>The sum of amounts each of which comes with some probability, independent of the others.</summary>
internal static class ChanceSum
{
    private const long MostWork = 20_000_000; // sums
    private const double Probability = 0.9;
    private const double Deviations = 1.2815515655446004; // of a normal distribution at that probability

    /// <summary>The smallest sum that is enough nine times in ten; from its mean and variance where there is very much to add.</summary>
    public static int Enough(IReadOnlyCollection<(double Chance, int Amount)> terms)
    {
        int certain = terms.Where(t => t.Chance >= 1).Sum(t => t.Amount);
        List<(double Chance, int Amount)> open =
        [
            .. terms.Where(t => t is { Chance: > 0 and < 1, Amount: > 0 }),
        ];
        int most = open.Sum(t => t.Amount);
        return certain + ((long)most * open.Count > MostWork ? Roughly(open, most) : Exactly(open, most));
    }

    private static int Exactly(List<(double Chance, int Amount)> terms, int most)
    {
        double[] chances = new double[most + 1];
        chances[0] = 1;
        int reached = 0;
        foreach ((double chance, int amount) in terms)
        {
            for (int sum = reached; sum >= 0; sum--)
            {
                chances[sum + amount] += chance * chances[sum];
                chances[sum] *= 1 - chance;
            }

            reached += amount;
        }

        double below = 0;
        int at = -1;
        while (below < Probability - 1e-12 && at < most)
        {
            below += chances[++at];
        }

        return Math.Max(at, 0);
    }

    private static int Roughly(List<(double Chance, int Amount)> terms, int most)
    {
        double mean = terms.Sum(t => t.Chance * t.Amount);
        double variance = terms.Sum(t => t.Chance * (1 - t.Chance) * t.Amount * t.Amount);
        return Math.Min((int)Math.Ceiling(mean + (Deviations * Math.Sqrt(variance))), most);
    }
}
