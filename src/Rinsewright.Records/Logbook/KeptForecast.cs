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

    internal override void Check(ProblemList problems)
    {
        problems.Require(Model.Length > 0, "forecast model", $"{Model}", "the version of the model");
        problems.Require(Members >= 1, "forecast members", $"{Members}", "1 or more");
        if (!ChangeOutLine.TryParse("forecast line", Line, out _, out InputProblem? problem))
        {
            problems.Add(problem.Place, problem.Text, problem.Expected);
        }

        problems.Require(MeterFactor > 0, "forecast meter factor", $"{MeterFactor}", "more than zero");
        problems.Require(PassedNow is >= 0 and <= 1, "forecast passed now", $"{PassedNow}", "0 to 1");
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
