using Rinsewright.Quantities;

namespace Rinsewright.Water;

/// <summary>The cross-checks of Standard Methods 1030 E between what an analysis states, as sentences for people.</summary>
internal static class WaterChecks
{
    private const double ConductivityRange = 0.1;
    private const double HardnessRange = 0.1;

    /// <summary>What does not fit together; computed from the first member when the analysis is complete.</summary>
    public static IEnumerable<Sentence> Of(
        WaterAnalysis analysis,
        IReadOnlyList<WaterComposition> members,
        SpeciationSolver solver,
        Speciation state
    )
    {
        if (members.Count != 1)
        {
            yield return Sentence.Of(
                "The analysis leaves something open: numbers are medians with the range that holds 9 of 10 waters like it."
            );
            yield break;
        }

        WaterComposition water = members[0];
        if (solver.Solve(water, water.Closed, state) != SpeciationStatus.Solved)
        {
            yield break;
        }

        if (Balance(water, state) is { } balance)
        {
            yield return balance;
        }

        if (analysis.Hardness is { } hardness)
        {
            double computed = WaterIndices.Hardness(state);
            double stated = Nearest(
                hardness.Select(h => h.EquivalentsPerCubicMeter * 0.5 * 100.09, 0.5 * 100.09),
                computed
            );
            if (Math.Abs(stated - computed) > HardnessRange * computed + 2)
            {
                yield return Sentence.Of(
                    $"Stated hardness {stated:F0} mg/L as CaCO3 does not fit calcium and magnesium, which give {computed:F0}."
                );
            }
        }

        if (analysis.ConductanceOrReading is { } conductance)
        {
            double computed = 1e4 * Conductance.SpecificConductance(state, solver, new Speciation());
            double stated = Nearest(conductance.Select(c => c.MicrosiemensPerCentimeter, 1), computed);
            if (Math.Abs(stated - computed) > ConductivityRange * computed + 2)
            {
                yield return Sentence.Of(
                    $"Stated conductivity {stated:F0} µS/cm at 25 °C does not fit the ions, which give {computed:F0}: an ion or a digit may be wrong."
                );
            }
        }
    }

    /// <summary>Of what is stated the value nearest to one computed: that itself inside a range or under a limit.</summary>
    private static double Nearest(Stated<double> stated, double computed) =>
        stated.Kind is StatementKind.Exactly
            ? stated.High
            : Math.Min(Math.Max(computed, stated.Low), stated.High);

    /// <summary>Limits of Standard Methods 1030 E: 0.2 meq/L up to 3 meq/L of anions, 2 % up to 10, 5 % above.</summary>
    private static Sentence? Balance(WaterComposition water, Speciation state)
    {
        double percent = WaterIndices.ChargeBalance(state);
        double anions = 0.5 * Math.Abs(100 * water.ChargeResidual / percent) - 0.5 * water.ChargeResidual;
        double over = Math.Abs(water.ChargeResidual);
        bool accepted =
            over < 1e-9 || (anions <= 3 ? over <= 0.2 : Math.Abs(percent) <= (anions <= 10 ? 2 : 5));
        return accepted
            ? null
            : Sentence.Of(
                $"The ions do not balance: {percent:+0.0;-0.0} % ({(percent > 0 ? Sentence.Of("cations") : Sentence.Of("anions"))} are over), more than Standard Methods 1030 E accepts. One of them may be missing or misread."
            );
    }
}
