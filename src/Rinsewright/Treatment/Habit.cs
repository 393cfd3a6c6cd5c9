using System.Diagnostics.CodeAnalysis;
using System.Text.Json;
using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>Which water a task takes.</summary>
public enum Outlet
{
    /// <summary>Straight from the spigot.</summary>
    Raw,

    /// <summary>Behind sediment and carbon only.</summary>
    Carbon,

    /// <summary>Behind the whole train.</summary>
    Deionised,
}

/// <summary>Something done with water again and again.</summary>
/// <param name="Name">What it is: pre-rinse, foam, wheels, last rinse.</param>
/// <param name="Volume">Water it takes each time.</param>
/// <param name="Flow">Flow while it runs.</param>
/// <param name="TimesPerWeek">How often in a usual week [1/week].</param>
/// <param name="Outlet">Which water it takes.</param>
/// <param name="DriesOnPanel">Whether the water is left to dry on the paint or glass.</param>
public sealed record WashTask(
    string Name,
    Volume Volume,
    VolumeFlow Flow,
    double TimesPerWeek,
    Outlet Outlet,
    bool DriesOnPanel
)
{
    /// <summary>The tool of the rig's plumbing that it is done with; when absent, whichever gives most.</summary>
    public string? Tool { get; init; }

    /// <summary>Water it takes in a usual week [m³/week].</summary>
    public double Weekly_m3 => Volume.CubicMeters * TimesPerWeek;
}

/// <summary>The usual week of a rig.</summary>
/// <param name="Name">What it is called.</param>
/// <param name="WashesPerWeek">Vehicles washed in a usual week [1/week].</param>
/// <param name="Tasks">What is done.</param>
public sealed record Habit(string Name, double WashesPerWeek, IReadOnlyList<WashTask> Tasks)
{
    private const double MostPerWeek = 10_000.0;

    private static readonly (string, Outlet)[] Outlets =
    [
        ("raw", Outlet.Raw),
        ("carbon", Outlet.Carbon),
        ("di", Outlet.Deionised),
    ];

    /// <summary>Water drawn in a usual week from an outlet [m³/week].</summary>
    public double Weekly_m3(Outlet outlet) => Tasks.Where(t => t.Outlet == outlet).Sum(t => t.Weekly_m3);

    /// <summary>Water drawn in a usual week, all outlets together [m³/week].</summary>
    public double TotalWeekly_m3 => Tasks.Sum(t => t.Weekly_m3);

    /// <summary>
    /// Usual flow through what stands before an outlet: the mean over the water drawn from it and from those further on.
    /// Nothing when none is drawn.
    /// </summary>
    public VolumeFlow? UsualFlow(Outlet outlet)
    {
        List<WashTask> tasks = [.. Tasks.Where(t => t.Outlet >= outlet && t.Weekly_m3 > 0.0)];
        double water = tasks.Sum(t => t.Weekly_m3);
        return water > 0.0
            ? VolumeFlow.FromCubicMetersPerSecond(
                tasks.Sum(t => t.Weekly_m3 * t.Flow.CubicMetersPerSecond) / water
            )
            : null;
    }

    /// <summary>The same week with every task that the choice names taken from another outlet.</summary>
    /// <param name="outlet">The outlet.</param>
    /// <param name="moves">Which tasks.</param>
    public Habit From(Outlet outlet, Func<WashTask, bool> moves) =>
        this with
        {
            Tasks = [.. Tasks.Select(t => moves(t) ? t with { Outlet = outlet } : t)],
        };

    /// <summary>The same week with deionised water for everything.</summary>
    public Habit Everything => From(Outlet.Deionised, _ => true);

    /// <summary>The same week with deionised water only for what dries on the panel, and carbon-treated water for the rest.</summary>
    public Habit LastRinseOnly =>
        From(Outlet.Carbon, t => !t.DriesOnPanel && t.Outlet == Outlet.Deionised)
            .From(Outlet.Deionised, t => t.DriesOnPanel);

    /// <summary>Reads a habit file (docs/formats/habit.md).</summary>
    /// <param name="root">Root of the file.</param>
    /// <param name="habit">What it says.</param>
    /// <param name="problems">Everything wrong with it; empty exactly when it is right.</param>
    public static bool TryRead(
        JsonElement root,
        [NotNullWhen(true)] out Habit? habit,
        out IReadOnlyList<InputProblem> problems
    )
    {
        List<InputProblem> found = [];
        var reading = new JsonReading(root, "", found, "name", "washesPerWeek", "tasks");
        string name = reading.Text("name", "habit");
        double washes = reading.Number("washesPerWeek", 0.0, MostPerWeek);
        List<WashTask> tasks =
        [
            .. reading.Items("tasks").Select(item => Task(item.Element, item.Place, washes, found)),
        ];
        if (tasks.Count == 0 && found.Count == 0)
        {
            found.Add(
                new InputProblem("tasks", Sentence.Of("none"), "at least one task, see docs/formats/habit.md")
            );
        }

        problems = found;
        habit = found.Count == 0 ? new Habit(name, washes, tasks) : null;
        return habit is not null;
    }

    private static WashTask Task(JsonElement item, string place, double washes, List<InputProblem> problems)
    {
        var reading = new JsonReading(
            item,
            place,
            problems,
            "name",
            "volume",
            "flow",
            "timesPerWeek",
            "outlet",
            "driesOnPanel",
            "tool"
        );
        string name = reading.Text("name", "");
        if (name.Length == 0)
        {
            problems.Add(
                new InputProblem(
                    reading.Join("name"),
                    Sentence.Of("missing"),
                    "what the task is, such as \"last rinse\""
                )
            );
        }

        Volume volume = reading.Quantity<Volume>("volume");
        VolumeFlow flow = reading.Quantity<VolumeFlow>("flow");
        if (reading.Has("flow") && flow.CubicMetersPerSecond <= 0.0)
        {
            problems.Add(new InputProblem(reading.Join("flow"), flow.ToString(), "a flow above zero"));
        }

        return new WashTask(
            name,
            volume,
            flow,
            reading.Number("timesPerWeek", 0.0, MostPerWeek, washes),
            reading.Choice<Outlet>("outlet", Outlets),
            reading.Flag("driesOnPanel", absent: false)
        )
        {
            Tool = reading.Has("tool") ? reading.Text("tool", "") : null,
        };
    }
}
