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
    private const double FlowTolerance = 1.02;

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

    /// <summary>Warns of tasks that want more water than their tool gets behind the whole train.</summary>
    /// <param name="habit">The usual week; only tasks of deionised water are judged, since the line is solved to that outlet.</param>
    /// <param name="tools">What each tool gets (<see cref="Solve"/>).</param>
    public static IEnumerable<Warning> Short(Habit habit, IReadOnlyList<FlowSolution> tools)
    {
        foreach (WashTask task in habit.Tasks.Where(t => t.Outlet == Outlet.Deionised && tools.Count > 0))
        {
            FlowSolution? tool = task.Tool is { } named
                ? tools.FirstOrDefault(t =>
                    string.Equals(t.Tool.Name, named, StringComparison.OrdinalIgnoreCase)
                )
                : tools.MaxBy(t => t.Flow);
            if (tool is null)
            {
                yield return new Warning(
                    WarningLevel.Note,
                    task.Name,
                    Sentence.Of(
                        $"The rig has no tool named \"{task.Tool}\": its flow is not checked. It has {string.Join(", ", tools.Select(t => $"\"{t.Tool.Name}\""))}."
                    )
                );
            }
            else if (task.Flow.CubicMetersPerSecond > FlowTolerance * tool.Flow.CubicMetersPerSecond)
            {
                yield return new Warning(
                    WarningLevel.Caution,
                    task.Name,
                    Sentence.Of(
                        $"The habit says {task.Flow.LitersPerMinute:F1} L/min, and {tool.Tool.Name} gets {tool.Flow.LitersPerMinute:F1} L/min from this supply: it takes longer than thought, and the beds are gentler used than computed. State the true flow."
                    )
                );
            }
        }
    }

    private FlowElement Rated(FlowElement element) =>
        element with
        {
            RatedPressure = element.RatedPressure ?? HousingPressure,
            RatedTemperature = element.RatedTemperature ?? HousingTemperature,
        };
}
