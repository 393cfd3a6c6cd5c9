using System.ComponentModel;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Trust;
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

    [Description("Days that it lasts at the water of a week that was said; else null.")]
    public Range? Days { get; init; }

    internal static LifeAnswer Of(
        LifeQuestion question,
        FillLife life,
        Completed water,
        Interval? days = null
    ) =>
        new()
        {
            Days = days is { } lasts ? Range.Of(lasts) : null,
            Life_L = Range.Of(life.Liters),
            Silica_L = life.SilicaLiters is { } silica ? Range.Of(silica) : null,
            Line = question.Line.Text,
            Flow_L_min = question.Flow_L_min,
            Resin_L = question.Beds.Sum(b => b.Liters),
            FirstOut = [.. life.FirstOut.Select(i => i.ToString())],
            Remarks = [.. water.Remarks.Select(r => r.ToString())],
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

    [Description("What the readings of this fill have taught; null until the first forecast is ready.")]
    public ForecastAnswer? Forecast { get; init; }

    [Description("Whether a newer forecast is being made: ask again in a second.")]
    public required bool IsSharpening { get; init; }

    public required IReadOnlyList<MeterAnswer> Meters { get; init; }

    public required IReadOnlyList<string> Reasons { get; init; }

    public required IReadOnlyList<string> Sharpen { get; init; }

    public required IReadOnlyList<StageAnswer> Stages { get; init; }

    internal static RigAnswer Of(Outlook outlook, Speech speech) =>
        new()
        {
            Id = outlook.History.Rig.Id.Value,
            Name = outlook.History.Rig.Name,
            Urgency = outlook.Urgency.ToString().ToLowerInvariant(),
            Left_L = outlook.Left_L is { } left ? Range.Of(left) : null,
            Drawn_L = double.Round(outlook.Drawn_L, 2),
            Weekly_L = outlook.Weekly_L is { } weekly ? Range.Of(weekly) : null,
            Days = outlook.Days is { } days ? Range.Of(days) : null,
            Life = outlook is { Life: { } life, Question: { } question, Water: { } water }
                ? LifeAnswer.Of(question, life, water)
                : null,
            Forecast = outlook.Forecast is { } forecast ? ForecastAnswer.Of(forecast) : null,
            IsSharpening = outlook.IsSharpening,
            Meters = [.. outlook.Meters.Select(MeterAnswer.Of)],
            Reasons = [.. outlook.Reasons.Select(speech.Say)],
            Sharpen = [.. outlook.Sharpen.Select(speech.Say)],
            Stages =
            [
                .. outlook.History.Stages.Select(s => new StageAnswer(
                    s.Stage.Id.Value,
                    s.Stage.Name,
                    s.Stage.Kind.ToString(),
                    s.Stage.Position,
                    1e3 * s.Stage.Volume_m3
                )),
            ],
        };
}

/// <summary>What is left of a carbon block or a sediment cartridge.</summary>
/// <param name="Stage">Id of the stage.</param>
/// <param name="Name">Its name.</param>
/// <param name="EndedBy">What ends it.</param>
/// <param name="Left_L">Litres left until then.</param>
/// <param name="Weeks">Weeks left.</param>
/// <param name="PassedNow">Probability that it is spent already [-].</param>
/// <param name="ServiceUntil">When it is changed by the calendar, even when it is not spent.</param>
public sealed record WearAnswer(
    Guid Stage,
    string Name,
    string EndedBy,
    Range Left_L,
    Range Weeks,
    double PassedNow,
    DateTimeOffset ServiceUntil
)
{
    internal static WearAnswer Of(WearForecast wear) =>
        new(
            wear.Stage.Stage.Id.Value,
            wear.Stage.Stage.Name,
            wear.EndedBy.ToString(),
            Range.Of(Interval.Of(wear.Outlook.Liters)),
            Range.Of(Interval.Of(wear.Outlook.Weeks)),
            double.Round(wear.Outlook.PassedNow, 3),
            wear.ServiceUntil
        );
}

/// <summary>What the readings of a fill have taught.</summary>
public sealed record ForecastAnswer
{
    public required DateTimeOffset At { get; init; }

    [Description("Readings of this fill that it rests on.")]
    public required int Readings { get; init; }

    [Description("Litres left to the change-out line.")]
    public required Range Left_L { get; init; }

    [Description("Litres left until silica passes 1 mg/L.")]
    public required Range Silica_Left_L { get; init; }

    public required Range Weeks { get; init; }

    [Description("Washes left; null when the record does not say what a wash takes.")]
    public Range? Washes { get; init; }

    [Description("Probability that the line is passed already.")]
    public required double PassedNow { get; init; }

    [Description("True conductance behind the bed now.")]
    public required Range Outlet_uS_cm { get; init; }

    [Description("True conductance before the bed now.")]
    public required Range Inlet_uS_cm { get; init; }

    [Description("Possible causes of the last reading behind the bed, the most probable first.")]
    public required IReadOnlyList<CauseAnswer> Causes { get; init; }

    [Description("Readings worth taking next, with the share of the variance that each would take away.")]
    public required IReadOnlyList<NextAnswer> Next { get; init; }

    [Description(
        "Cost of fills for a litre when beds in series move up at the line, over filling all; null for one bed."
    )]
    public Range? RotationCostShare { get; init; }

    [Description("What is left of the carbon blocks and sediment cartridges before the bed.")]
    public required IReadOnlyList<WearAnswer> Wear { get; init; }

    public required IReadOnlyList<string> Remarks { get; init; }

    internal static ForecastAnswer Of(FillOutlook forecast)
    {
        var left = Interval.Of(forecast.Line.Liters);
        return new()
        {
            At = forecast.At,
            Readings = forecast.Readings,
            Left_L = Range.Of(left),
            Silica_Left_L = Range.Of(Interval.Of(forecast.Silica.Liters)),
            Weeks = Range.Of(Interval.Of(forecast.Line.Weeks)),
            Washes = forecast.PerWash_L is > 0 and { } each ? Range.Of(left.Select(l => l / each)) : null,
            PassedNow = double.Round(forecast.Line.PassedNow, 3),
            Outlet_uS_cm = Range.Of(Interval.Of(forecast.Outlet_uS_cm)),
            Inlet_uS_cm = Range.Of(Interval.Of(forecast.Inlet_uS_cm)),
            Causes =
            [
                .. forecast.Causes.Select(c => new CauseAnswer(
                    c.Cause.ToString(),
                    double.Round(c.Probability, 3),
                    c.Evidence.ToString(),
                    c.Test.ToString()
                )),
            ],
            Next = [.. forecast.Next.Select(n => new NextAnswer(n.Name, double.Round(n.Narrows, 3)))],
            RotationCostShare = forecast.Rotation is { } moved
                ? Range.Of(Interval.Of(moved.CostShare))
                : null,
            Wear = [.. forecast.Wear.Select(WearAnswer.Of)],
            Remarks = [.. forecast.Remarks.Select(r => r.ToString())],
        };
    }
}

/// <summary>A possible cause of a reading, and a test to do at the tap.</summary>
public sealed record CauseAnswer(string Cause, double Probability, string Evidence, string Test);

/// <summary>A reading that could be taken next.</summary>
public sealed record NextAnswer(string Reading, double Narrows);

/// <summary>Whether a meter can be trusted.</summary>
/// <param name="Id">The meter's id.</param>
/// <param name="Name">Its name.</param>
/// <param name="Grade">unchecked, true, off, stale or contradictory.</param>
/// <param name="Says">In a sentence.</param>
/// <param name="Advice">What to do.</param>
/// <param name="CheckBy">When its next check is due; null when it is due already.</param>
public sealed record MeterAnswer(
    Guid Id,
    string Name,
    string Grade,
    string Says,
    string Advice,
    DateTimeOffset? CheckBy
)
{
    internal static MeterAnswer Of((MeterTrust Meter, MeterVerdict Verdict) known) =>
        new(
            known.Meter.Meter!.Id.Value,
            known.Meter.Meter.Name,
            known.Verdict.Grade.ToString().ToLowerInvariant(),
            known.Verdict.Says.ToString(),
            known.Verdict.Advice.ToString(),
            known.Verdict.CheckBy
        );
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
public sealed record ProgramState(string Status, string Version);
