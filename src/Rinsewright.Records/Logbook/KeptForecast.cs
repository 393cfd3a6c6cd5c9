using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Records.Logbook;

/// <summary>
/// What was forecast of a fill at one moment, kept so that it can be scored when the truth is known, and with what it takes to
/// compute it again.
/// </summary>
public sealed record KeptForecast : Entry<KeptForecast>
{
    /// <summary>How many quantiles are kept, at even probabilities from 0 to 1, so that the ends of usual intervals are among them.</summary>
    public const int QuantileCount = 41;

    public required Id<Rig> RigId { get; init; }
    public required Id<Stage> StageId { get; init; }
    public required Id<Fill> FillId { get; init; }

    /// <summary>The moment of asking: nothing later was known.</summary>
    public required DateTimeOffset At
    {
        get;
        init => field = Instant.Round(value);
    }

    /// <summary>Version of the model.</summary>
    public required string Model { get; init; }
    public required int Members { get; init; }
    public required int Seed { get; init; }

    /// <summary>The change-out line, for instance <c>10 ppm</c>.</summary>
    public required string Line { get; init; }

    /// <summary>Factor from conductivity to TDS for a line in ppm [-].</summary>
    public required double MeterFactor { get; init; }

    /// <summary>Quantiles of the logged water left to the line, 0 when it is passed [m³]; empty where it is not reached.</summary>
    public required double?[] LeftQuantiles_m3 { get; init; }

    /// <summary>Quantiles of the days from <see cref="At"/> to the line [d]; empty where it is not reached.</summary>
    public required double?[] DaysQuantiles_d { get; init; }

    /// <summary>Probability that the line was passed already [-].</summary>
    public required double PassedNow { get; init; }

    /// <summary>What filling one bed anew was said to cost, in the record's money; empty where nothing was said.</summary>
    public double? FillCost { get; init; }

    /// <summary>What water past the line was said to cost, in that money [1/m³].</summary>
    public double? SpotCost_per_m3 { get; init; }

    /// <summary>
    /// Advice: logged water still to draw until a change is cheapest [m³], 0 for now; empty where no costs were said, or where
    /// waiting is always cheaper.
    /// </summary>
    public double? ChangeAfter_m3 { get; init; }

    /// <summary>Expected cost of the water over the fill's life when it is changed at once [1/m³].</summary>
    public double? CostNow_per_m3 { get; init; }

    /// <summary>Expected cost of the water over the fill's life when it is changed as advised [1/m³].</summary>
    public double? CostThen_per_m3 { get; init; }

    /// <summary>
    /// What fills cost for the water when at the line only the first of the beds is filled anew and goes last, over what filling
    /// all together costs: median, and nine in ten [-]; empty where there is one bed alone.
    /// </summary>
    public double?[]? RotationCostShares { get; init; }

    internal override void Check(ProblemList problems)
    {
        problems.Require(Model.Length > 0, "forecast model", $"{Model}", "the version of the model");
        problems.Require(Members >= 1, "forecast members", $"{Members}", "1 or more");
        if (!ChangeOutLine.TryParse("forecast line", Line, out _, out InputProblem? problem))
        {
            problems.Add(problem);
        }

        problems.Require(MeterFactor > 0, "forecast meter factor", $"{MeterFactor}", "more than zero");
        problems.Require(PassedNow is >= 0 and <= 1, "forecast passed now", $"{PassedNow}", "0 to 1");
        foreach (
            (string place, double? cost) in new[]
            {
                ("forecast fill cost", FillCost),
                ("forecast spot cost", SpotCost_per_m3),
                ("forecast change after", ChangeAfter_m3),
                ("forecast cost now", CostNow_per_m3),
                ("forecast cost then", CostThen_per_m3),
            }
        )
        {
            problems.Require(cost is null or >= 0, place, $"{cost}", "zero or more");
        }

        problems.Require(
            RotationCostShares is null or [> 0, > 0, > 0],
            "forecast rotation cost shares",
            $"{RotationCostShares?.Length} numbers",
            "median, 0.05 and 0.95 quantile, each more than zero"
        );
        foreach (double?[] quantiles in (double?[][])[LeftQuantiles_m3, DaysQuantiles_d])
        {
            CheckQuantiles("forecast quantiles", quantiles, problems);
        }
    }

    internal static void CheckQuantiles(string place, double?[] quantiles, ProblemList problems)
    {
        double[] all = [.. quantiles.Select(q => q ?? double.PositiveInfinity)];
        problems.Require(
            all.Length == QuantileCount
                && all[0] >= 0
                && Enumerable.Range(1, all.Length - 1).All(i => all[i] >= all[i - 1]),
            place,
            $"{all.Length} numbers",
            $"{QuantileCount} numbers of zero or more, ascending"
        );
    }
}
