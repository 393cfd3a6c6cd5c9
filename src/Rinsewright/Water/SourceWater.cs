using System.Collections.Immutable;
using Rinsewright.Quantities;

namespace Rinsewright.Water;

/// <summary>How the acid–base state of a source water is settled.</summary>
/// <param name="OpenToAir">Whether the water stands in equilibrium with the carbon dioxide of the air.</param>
/// <param name="FromCharge">
/// Whether pH follows from the balance of charge, the ions taken as complete and exact, instead of from pH and alkalinity.
/// </param>
/// <param name="Activity">The law for activity coefficients.</param>
public sealed record WaterMode(
    bool OpenToAir = false,
    bool FromCharge = false,
    ActivityModel Activity = ActivityModel.TruesdellJones
);

/// <summary>
/// A source water as far as its analysis tells it: one composition when everything that matters is stated, else an ensemble
/// of complete waters of equal weight that agree with what is stated. Everything computed from a source water is computed
/// for each member, and so has an honest range.
/// </summary>
public sealed class SourceWater
{
    /// <summary>log10 of the partial pressure of carbon dioxide in air, in atm [-]: 417 ppm, a common value of the 2020s.</summary>
    public const double AirCarbonDioxide = -3.38;

    private SourceWater(
        WaterAnalysis analysis,
        ImmutableArray<WaterComposition> members,
        ImmutableArray<Sentence> warnings
    )
    {
        Analysis = analysis;
        Members = members;
        Warnings = warnings;
    }

    /// <summary>What was stated.</summary>
    public WaterAnalysis Analysis { get; }

    /// <summary>The members, of equal weight; at least one.</summary>
    public ImmutableArray<WaterComposition> Members { get; }

    /// <summary>What a person should know about the analysis.</summary>
    public ImmutableArray<Sentence> Warnings { get; }

    /// <summary>Whether the analysis leaves nothing open.</summary>
    public bool IsSingle => Members.Length == 1;

    /// <summary>Completes an analysis.</summary>
    /// <param name="analysis">What is known.</param>
    /// <param name="mode">How pH and carbon are settled.</param>
    /// <param name="members">Members of the ensemble when something is left open.</param>
    /// <param name="seed">Seed of the random stream; the same seed gives the same members.</param>
    /// <param name="problems">Why no such water can exist; empty when one can.</param>
    /// <returns>The source water, or null with problems.</returns>
    public static SourceWater? Complete(
        WaterAnalysis analysis,
        WaterMode mode,
        int members,
        int seed,
        out IReadOnlyList<InputProblem> problems
    )
    {
        List<InputProblem> found = [];
        problems = found;
        List<Sentence> warnings = [];
        double temperature = analysis.Temperature is { } t
            ? t.Middle?.Kelvins ?? 0.5 * (t.Low.Kelvins + t.High.Kelvins)
            : Conductance.ReferenceTemperature;
        if (analysis.Temperature is null)
        {
            warnings.Add(Sentence.Of("No temperature is stated: 25 °C is taken, as laboratories report."));
        }

        var completion = new WaterCompletion(analysis, mode, members, seed);
        if (completion.IsEmpty)
        {
            found.Add(
                new InputProblem(
                    "water",
                    Sentence.Of("nothing about strength"),
                    "ions, hardness, alkalinity, conductivity or a meter reading"
                )
            );
            return null;
        }

        var solver = new SpeciationSolver(mode.Activity);
        var state = new Speciation();
        List<WaterComposition> kept = [];
        SpeciationStatus failure = SpeciationStatus.NotSolved;
        foreach (double[] point in completion.Draw())
        {
            if (Settle(completion, point, mode, temperature, solver, state) is { } composition)
            {
                kept.Add(composition);
            }
            else
            {
                failure = state.Status;
            }
        }

        if (kept.Count == 0)
        {
            found.Add(Explain(failure));
            return null;
        }

        if (!completion.IsReached)
        {
            found.Add(
                new InputProblem(
                    "water",
                    Sentence.Of("no complete water was found that fits all of these values"),
                    "ions, hardness, pH and conductivity that belong to one sample"
                )
            );
            return null;
        }

        ImmutableArray<WaterComposition> chosen = completion.Weigh(kept, solver, state);
        warnings.AddRange(WaterChecks.Of(analysis, chosen, solver, state));
        return new SourceWater(analysis, chosen, [.. warnings]);
    }

    private static WaterComposition? Settle(
        WaterCompletion completion,
        double[] point,
        WaterMode mode,
        double temperature,
        SpeciationSolver solver,
        Speciation state
    )
    {
        double[] totals = completion.Totals(point);
        double alkalinity = Math.Exp(point[WaterPrior.Alkalinity]);
        SpeciationTarget measured = completion.CarbonDioxide is { } dioxide
            ? SpeciationTarget.AlkalinityAndCarbonDioxide(
                alkalinity,
                Math.Log10(dioxide / WaterProperties.Density(temperature))
                    - Equilibria.LogK(Reaction.CarbonDioxideGas, temperature)
            )
            : SpeciationTarget.PHAndAlkalinity(point[WaterPrior.PH], alkalinity);
        bool airOnly = mode.OpenToAir && !mode.FromCharge;
        SpeciationTarget target = airOnly
            ? SpeciationTarget.AlkalinityAndCarbonDioxide(alkalinity, AirCarbonDioxide)
            : measured;
        if (mode is { OpenToAir: true, FromCharge: true })
        {
            target = SpeciationTarget.ChargeAndCarbonDioxide(0, AirCarbonDioxide);
        }

        if (solver.Solve(totals, temperature, target, state) != SpeciationStatus.Solved)
        {
            return null;
        }

        if (mode is { OpenToAir: false, FromCharge: true })
        {
            SpeciationTarget charge = SpeciationTarget.ChargeAndTotalCarbon(0, state.TotalCarbon);
            if (solver.Solve(totals, temperature, charge, state) != SpeciationStatus.Solved)
            {
                return null;
            }
        }

        WaterComposition water = state.ToComposition();
        return completion.Balance(water, point);
    }

    /// <summary>Why no member of an ensemble could be solved.</summary>
    internal static InputProblem Explain(SpeciationStatus status) =>
        status switch
        {
            SpeciationStatus.TemperatureOutOfRange => new(
                "temperature",
                Sentence.Of("outside the range"),
                "0 to 45 °C"
            ),
            SpeciationStatus.NoSuchCarbon => new(
                "pH, alkalinity",
                Sentence.Of("they contradict each other"),
                "an alkalinity that is at least what hydroxide, silica and phosphate give at this pH"
            ),
            SpeciationStatus.InvalidTotals => new(
                "water",
                Sentence.Of("a value is below 0 or no number"),
                "finite ions, pH and alkalinity of 0 or more"
            ),
            SpeciationStatus.NotConverged => new(
                "water",
                Sentence.Of("the balances of these values were not closed to round-off"),
                "the values of a fresh water, up to an ionic strength of 0.5 mol/L"
            ),
            _ => new(
                "water",
                Sentence.Of("no pH between -1 and 15 fits these values"),
                "ions, pH and alkalinity that belong to one sample"
            ),
        };
}
