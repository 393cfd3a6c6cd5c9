namespace Rinsewright.Water;

/// <summary>Everything that is computed of a source water, with its spread over the members.</summary>
public sealed class WaterReport
{
    private readonly double[][] _sorted;

    private WaterReport(SourceWater source, double[][] sorted)
    {
        Source = source;
        _sorted = sorted;
    }

    /// <summary>The water.</summary>
    public SourceWater Source { get; }

    /// <summary>Computes the report.</summary>
    /// <param name="source">The water.</param>
    /// <param name="activity">The law for activity coefficients.</param>
    /// <returns>The report, or null when a member's species could not be found.</returns>
    public static WaterReport? Of(SourceWater source, ActivityModel activity)
    {
        var solver = new SpeciationSolver(activity);
        var state = new Speciation();
        var scratch = new Speciation();
        double[][] values = [.. Enum.GetValues<WaterFigure>().Select(_ => new double[source.Members.Length])];
        for (int m = 0; m < source.Members.Length; m++)
        {
            WaterComposition water = source.Members[m];
            if (solver.Solve(water, water.Closed, state) != SpeciationStatus.Solved)
            {
                return null;
            }

            void Set(WaterFigure figure, double value) => values[(int)figure][m] = value;

            Set(WaterFigure.PH, state.PH);
            Set(WaterFigure.Temperature, water.TemperatureKelvin - PhysicalConstants.ZeroCelsius);
            Set(WaterFigure.IonicStrength, state.IonicStrength * state.WaterDensity * 1e-3);
            Set(WaterFigure.ChargeBalance, WaterIndices.ChargeBalance(state));
            Set(WaterFigure.Conductivity, 1e4 * Conductance.Conductivity(state));
            Set(WaterFigure.Conductivity25, 1e4 * Conductance.SpecificConductance(state, solver, scratch));
            Set(WaterFigure.Hardness, WaterIndices.Hardness(state));
            Set(WaterFigure.Alkalinity, WaterIndices.Alkalinity(state));
            Set(WaterFigure.CarbonDioxide, WaterIndices.DissolvedCarbonDioxide(state));
            Set(WaterFigure.SumOfSolids, WaterIndices.SumOfSolids(state));
            Set(WaterFigure.Residue180, WaterIndices.Residue(state));
            Set(WaterFigure.Calcite, state.SaturationIndex(Reaction.Calcite));
            Set(WaterFigure.Aragonite, state.SaturationIndex(Reaction.Aragonite));
            Set(WaterFigure.Gypsum, state.SaturationIndex(Reaction.Gypsum));
            Set(WaterFigure.AmorphousSilica, state.SaturationIndex(Reaction.AmorphousSilica));
            Set(WaterFigure.Langelier, WaterIndices.Langelier(state));
            Set(WaterFigure.Ryznar, WaterIndices.Ryznar(state));
            double potential = WaterIndices.CalcitePotential(state, solver, scratch);
            bool found = scratch.Status == SpeciationStatus.Solved;
            Set(WaterFigure.CalcitePotential, found ? 100.09 * potential : double.NaN);
            Set(WaterFigure.Silica, 1e3 * IonCatalog.MolarMass(Component.Silica) * water[Component.Silica]);
        }

        foreach (double[] figure in values)
        {
            Array.Sort(figure);
        }

        return new WaterReport(source, values);
    }

    /// <summary>A quantile over the members, in the unit of the figure.</summary>
    /// <param name="figure">The figure.</param>
    /// <param name="probability">Probability, 0 to 1 [-].</param>
    public double Quantile(WaterFigure figure, double probability)
    {
        double[] sorted = _sorted[(int)figure];
        double place = probability * (sorted.Length - 1);
        int low = (int)Math.Floor(place);
        int high = Math.Min(low + 1, sorted.Length - 1);
        double value = sorted[low] + (place - low) * (sorted[high] - sorted[low]);
        return Math.Abs(value) < 1e-9 ? 0 : value;
    }

    /// <summary>Whether the analysis leaves a figure open.</summary>
    public bool IsOpen(WaterFigure figure)
    {
        double[] sorted = _sorted[(int)figure];
        return sorted[^1] - sorted[0] > 5e-4 * Math.Abs(sorted[0]) + 1e-9;
    }
}
