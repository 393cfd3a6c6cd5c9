using System.ComponentModel;
using Rinsewright.Web.Estimates;

namespace Rinsewright.Web.Api;

/// <summary>A number with its range: nine times in ten it lies from low to high. Null where it has no end.</summary>
public sealed record Range(double? Low, double? Median, double? High)
{
    internal static Range Of(Interval interval) =>
        new(Finite(interval.Low), Finite(interval.Middle), Finite(interval.High));

    private static double? Finite(double value) => double.IsFinite(value) ? double.Round(value, 2) : null;
}

/// <summary>How long a bed lasts.</summary>
public sealed record LifeAnswer
{
    [Description("Litres from a fresh fill to the line.")]
    public required Range Life_L { get; init; }

    [Description("Litres until silica passes 1 mg/L; null when it stays below until the line.")]
    public Range? Silica_L { get; init; }

    [Description("The line at which the bed is changed.")]
    public required string Line { get; init; }

    public required double Flow_L_min { get; init; }

    public required double Resin_L { get; init; }

    [Description("Ions in the order in which they come out.")]
    public required IReadOnlyList<string> FirstOut { get; init; }

    public required IReadOnlyList<string> Remarks { get; init; }

    internal static LifeAnswer Of(LifeQuestion question, FillLife life, Completed water) =>
        new()
        {
            Life_L = Range.Of(life.Liters),
            Silica_L = life.SilicaLiters is { } silica ? Range.Of(silica) : null,
            Line = question.Line.Text,
            Flow_L_min = question.Flow_L_min,
            Resin_L = question.Beds.Sum(b => b.Liters),
            FirstOut = [.. life.FirstOut.Select(i => i.ToString())],
            Remarks = water.Remarks,
        };
}

/// <summary>A rig and what is left in it.</summary>
public sealed record RigAnswer
{
    public required Guid Id { get; init; }
    public required string Name { get; init; }

    [Description("good, soon, due or unknown.")]
    public required string Urgency { get; init; }

    public Range? Left_L { get; init; }

    public required double Drawn_L { get; init; }

    public Range? Weekly_L { get; init; }

    public Range? Days { get; init; }

    public LifeAnswer? Life { get; init; }

    public required IReadOnlyList<string> Reasons { get; init; }

    public required IReadOnlyList<string> Sharpen { get; init; }

    public required IReadOnlyList<StageAnswer> Stages { get; init; }

    internal static RigAnswer Of(Outlook outlook, Speech speech) =>
        new()
        {
            Id = outlook.Record.Rig.Id.Value,
            Name = outlook.Record.Rig.Name,
            Urgency = outlook.Urgency.ToString().ToLowerInvariant(),
            Left_L = outlook.Left_L is { } left ? Range.Of(left) : null,
            Drawn_L = double.Round(outlook.Drawn_L, 2),
            Weekly_L = outlook.Weekly_L is { } weekly ? Range.Of(weekly) : null,
            Days = outlook.Days is { } days ? Range.Of(days) : null,
            Life = outlook is { Life: { } life, Question: { } question, Water: { } water }
                ? LifeAnswer.Of(question, life, water)
                : null,
            Reasons = [.. outlook.Reasons.Select(speech.Say)],
            Sharpen = [.. outlook.Sharpen.Select(speech.Say)],
            Stages =
            [
                .. outlook.Record.Stages.Select(s => new StageAnswer(
                    s.Id.Value,
                    s.Name,
                    s.Kind.ToString(),
                    s.Position,
                    1e3 * s.Volume_m3
                )),
            ],
        };
}

public sealed record StageAnswer(Guid Id, string Name, string Kind, int Position, double? Volume_L);

/// <summary>A life with something changed.</summary>
/// <param name="Text">In one sentence.</param>
/// <param name="Life">The life as it would be.</param>
/// <param name="Now_L">The life as it is [L].</param>
/// <param name="Days">Days from a fresh fill to the line, at the water a week that was asked for.</param>
public sealed record ChangedLife(string Text, LifeAnswer Life, Range Now_L, Range? Days);

/// <summary>What was written.</summary>
/// <param name="Edit">Number of the edit; undo takes it back by this.</param>
/// <param name="At">When.</param>
/// <param name="Author">By whom.</param>
/// <param name="Reason">Why, in their words.</param>
/// <param name="Undoes">The edit that it takes back.</param>
public sealed record EditAnswer(long Edit, DateTimeOffset At, string Author, string Reason, long? Undoes);

/// <summary>Whether the program answers and its record can be read.</summary>
public sealed record Health(string Status, string Version);
