using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>What stands around a train: the supply, pipes, hoses and fittings, the ratings of its housings, and the tools.</summary>
/// <param name="Supply">Where the water comes from.</param>
/// <param name="Before">What stands between the supply and the first stage.</param>
/// <param name="After">What stands between the last stage and the tools.</param>
/// <param name="Tools">The tools, of which one runs at a time.</param>
public sealed record Plumbing(
    WaterSupply Supply,
    IReadOnlyList<FlowElement> Before,
    IReadOnlyList<FlowElement> After,
    IReadOnlyList<Tool> Tools
)
{
    /// <summary>Highest pressure that the housings of the stages bear, if stated.</summary>
    public Pressure? HousingPressure { get; init; }

    /// <summary>Highest water temperature that the housings of the stages bear, if stated.</summary>
    public Temperature? HousingTemperature { get; init; }

    /// <summary>What each tool gets through a train when it runs alone.</summary>
    /// <param name="train">The train.</param>
    /// <param name="temperature">Temperature of the water.</param>
    public IReadOnlyList<FlowSolution> Solve(Train train, Temperature temperature)
    {
        FlowLine line = train.Line(Supply, Before, After, Rated);
        return [.. Tools.Select(t => line.Solve(t, temperature))];
    }

    private FlowElement Rated(FlowElement element) =>
        element with
        {
            RatedPressure = element.RatedPressure ?? HousingPressure,
            RatedTemperature = element.RatedTemperature ?? HousingTemperature,
        };
}
