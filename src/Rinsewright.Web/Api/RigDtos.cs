using Rinsewright.Treatment;
using Rinsewright.Web.Estimates;

namespace Rinsewright.Web.Api;

/// <summary>What follows from a split of the tasks.</summary>
/// <param name="Text">In words.</param>
/// <param name="Deionised_L_per_week">Water through the last bed in a week [L/week].</param>
/// <param name="Weeks">Weeks that a fresh fill lasts; null when nothing passes it.</param>
/// <param name="PerYear">What its fills cost in a year; null when no medium was bought yet.</param>
/// <param name="PerWash">What they cost for each wash.</param>
/// <param name="Currency">ISO 4217 code.</param>
/// <param name="Tasks">The tasks.</param>
public sealed record SplitAnswer(
    string Text,
    double Deionised_L_per_week,
    Range? Weeks,
    decimal? PerYear,
    decimal? PerWash,
    string Currency,
    IReadOnlyList<TaskAnswer> Tasks
)
{
    internal static SplitAnswer Of(TaskSplit split, Speech speech) =>
        new(
            TaskSplits.InWords(split, speech),
            double.Round(split.Deionised_L, 2),
            split.Weeks is { } weeks ? Range.Of(weeks) : null,
            split.PerYear is { } year ? decimal.Round(year, 2) : null,
            split.PerWash is { } wash ? decimal.Round(wash, 4) : null,
            split.Currency,
            [
                .. split.Tasks.Select(t => new TaskAnswer(
                    t.Task.Id.Value,
                    t.Task.Name,
                    double.Round(t.Weekly_L, 2),
                    t.IsDeionised,
                    t.Spots.ToString().ToLowerInvariant()
                )),
            ]
        );
}

/// <summary>A task of the usual week.</summary>
/// <param name="Id">Its id.</param>
/// <param name="Name">What it is.</param>
/// <param name="Weekly_L">Water that it takes in a week [L/week].</param>
/// <param name="IsDeionised">Whether it takes its water behind the last bed.</param>
/// <param name="Spots">What its water leaves where it dries, at worst: none, faint, plain or heavy.</param>
public sealed record TaskAnswer(Guid Id, string Name, double Weekly_L, bool IsDeionised, string Spots);

/// <summary>What a tool gets when it runs alone.</summary>
/// <param name="Name">The tool.</param>
/// <param name="Flow_L_min">The flow that it gets [L/min].</param>
/// <param name="Pressure_bar">The pressure that reaches it [bar].</param>
/// <param name="Along">The pressure along the line.</param>
/// <param name="Warnings">Limits that are passed.</param>
public sealed record ToolAnswer(
    string Name,
    double Flow_L_min,
    double Pressure_bar,
    IReadOnlyList<PlaceAnswer> Along,
    IReadOnlyList<string> Warnings
)
{
    internal static ToolAnswer Of(FlowSolution tool) =>
        new(
            tool.Tool.Name,
            double.Round(tool.Flow.LitersPerMinute, 2),
            double.Round(tool.ToolPressure.Kilopascals / 100, 3),
            [
                .. tool.Elements.Select(e => new PlaceAnswer(
                    e.Name,
                    double.Round(e.Inlet.Kilopascals / 100, 3),
                    double.Round(e.Loss.Kilopascals / 100, 3),
                    double.Round(e.Resting.Kilopascals / 100, 3)
                )),
            ],
            [.. tool.Warnings.Select(w => $"{w.Place}: {w.Text}")]
        );
}

/// <summary>One place along a line.</summary>
/// <param name="Place">What it is.</param>
/// <param name="Before_bar">Pressure before it [bar].</param>
/// <param name="Lost_bar">Pressure lost in it [bar].</param>
/// <param name="Shut_bar">Pressure in it with the tool shut [bar].</param>
public sealed record PlaceAnswer(string Place, double Before_bar, double Lost_bar, double Shut_bar);
