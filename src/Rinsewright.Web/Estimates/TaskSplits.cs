using Microsoft.EntityFrameworkCore;
using Rinsewright.Drying;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;
using Habit = Rinsewright.Records.Logbook.Habit;
using WashTask = Rinsewright.Records.Logbook.WashTask;

namespace Rinsewright.Web.Estimates;

/// <summary>One task of the usual week under a split.</summary>
/// <param name="Task">The task.</param>
/// <param name="Weekly_L">Water that it takes in a week [L/week].</param>
/// <param name="IsDeionised">Whether it takes its water behind the last bed.</param>
/// <param name="Spots">How plainly its water shows where it is left to dry, at worst.</param>
public sealed record TaskUse(WashTask Task, double Weekly_L, bool IsDeionised, SpotGrade Spots);

/// <summary>What follows from taking deionised water for some tasks and not for others.</summary>
/// <param name="Tasks">The tasks.</param>
/// <param name="Deionised_L">Water through the last bed in a week [L/week].</param>
/// <param name="Weeks">Weeks that a fresh fill lasts; nothing when none passes it.</param>
/// <param name="PerYear">What its fills cost in a year; nothing when no medium was bought yet.</param>
/// <param name="PerWash">What they cost for each wash.</param>
/// <param name="Currency">In which currency.</param>
public sealed record TaskSplit(
    IReadOnlyList<TaskUse> Tasks,
    double Deionised_L,
    Interval? Weeks,
    decimal? PerYear,
    decimal? PerWash,
    string Currency
);

/// <summary>Answers: deionised water for everything, for the last rinse only, or for any split between.</summary>
public sealed class TaskSplits(LogbookStore store, FillLives lives)
{
    private const double LitersPerCubicMeter = 1000;
    private const double WeeksPerYear = 52;
    private const double FlowStep_L_min = 0.5; // so that splits with about the same flow share a run

    /// <summary>The split as asked; nothing when the rig has no bed that can be run, or no usual week.</summary>
    /// <param name="outlook">The rig.</param>
    /// <param name="deionised">Tasks that take deionised water; empty for those that do now.</param>
    /// <param name="cancel">Stops it.</param>
    public async Task<TaskSplit?> OfAsync(
        Outlook outlook,
        IReadOnlyCollection<Guid>? deionised,
        CancellationToken cancel
    )
    {
        if (outlook is not { Question: { } question, Life: { } now, Water.Source: { } source })
        {
            return null;
        }

        (Habit Habit, WashTask Task)[] week = [.. outlook.History.Habits.OrderBy(h => h.Task.Id.Value)];
        if (week.Length == 0)
        {
            return null;
        }

        bool Takes((Habit Habit, WashTask Task) use) =>
            deionised?.Contains(use.Task.Id.Value) ?? IsBehindLastBed(outlook, use.Habit);
        double[] liters =
        [
            .. week.Select(w => w.Habit.TimesPerWeek * LitersPerCubicMeter * w.Task.Volume_m3),
        ];
        double through = week.Zip(liters).Where(w => Takes(w.First)).Sum(w => w.Second);
        double flow = week.Zip(liters)
            .Where(w => Takes(w.First))
            .Sum(w =>
                w.Second
                * (
                    w.First.Task.Flow_m3_s is { } stated
                        ? VolumeFlow.FromCubicMetersPerSecond(stated).LitersPerMinute
                        : question.Flow_L_min
                )
            );
        FillLife? life =
            through > 0
                ? lives.Of(
                    question with
                    {
                        Flow_L_min = Math.Max(
                            Math.Round(flow / through / FlowStep_L_min) * FlowStep_L_min,
                            FlowStep_L_min
                        ),
                    }
                )
                : now;
        if (life is null)
        {
            return null;
        }

        Interval? weeks = through > 0 ? life.Liters.Select(l => l / through) : null;
        (decimal? fill, string currency) = await FillCostAsync(question.Beds[^1].Liters, cancel);
        decimal? perYear =
            fill is { } each && weeks is { Middle: > 0 and < double.PositiveInfinity } lasts
                ? each * (decimal)(WeeksPerYear / lasts.Middle)
            : weeks is null || double.IsInfinity(weeks.Value.Middle) ? 0
            : null;
        double washes = week.Max(w => w.Habit.TimesPerWeek);
        SpotGrade raw = SpotIndex.BySalts(source.Members[source.Members.Length / 2]).Grade;
        SpotGrade clean = AtLine(life, question).Spots.Grade;
        return new TaskSplit(
            [.. week.Zip(liters, (w, l) => new TaskUse(w.Task, l, Takes(w), Takes(w) ? clean : raw))],
            through,
            weeks,
            fill is null ? null : perYear,
            fill is null || !(washes > 0) ? null : perYear / (decimal)(WeeksPerYear * washes),
            currency
        );
    }

    /// <summary>The split in one sentence.</summary>
    public static string InWords(TaskSplit split, Speech speech)
    {
        string[] taken = [.. split.Tasks.Where(t => t.IsDeionised).Select(t => t.Task.Name)];
        if (taken.Length == 0)
        {
            return speech["No task takes deionised water: the bed is not used."];
        }

        string lasts = split.Weeks is { Middle: < double.PositiveInfinity } weeks
            ? speech[
                "Deionised water for {0}: {1} a week; a fresh fill lasts about {2} ({3} to {4}).",
                string.Join(", ", taken),
                speech.Volume(split.Deionised_L),
                speech.Span(7 * weeks.Middle),
                speech.Span(7 * weeks.Low),
                speech.Span(7 * weeks.High)
            ]
            : speech[
                "Deionised water for {0}: {1} a week; the bed outlasts the model.",
                string.Join(", ", taken),
                speech.Volume(split.Deionised_L)
            ];
        return split is { PerYear: { } year, PerWash: { } wash }
            ? $"{lasts} {speech["Its fills cost about {0} {1} a year, {2} {1} a wash.", Speech.Rounded((double)year), split.Currency, wash.ToString("0.00", System.Globalization.CultureInfo.InvariantCulture)]}"
            : lasts;
    }

    /// <summary>How plainly a water shows where it dries, in words.</summary>
    public static string Spots(SpotGrade grade, Speech speech) =>
        grade switch
        {
            SpotGrade.None => speech["nothing to see"],
            SpotGrade.Faint => speech["faint rings"],
            SpotGrade.Plain => speech["plain spots"],
            _ => speech["heavy spots"],
        };

    private static bool IsBehindLastBed(Outlook outlook, Habit habit) =>
        habit.StageId is { } id
        && outlook.History.Stages.Any(s =>
            s.Stage.Id == id && s.Stage.Position >= outlook.Bed!.Stage.Position
        );

    /// <summary>The water as the bed is changed.</summary>
    private static EffluentSample AtLine(FillLife life, LifeQuestion question) =>
        life.Report.Reaches(question.Line, question.MeterFactor) is { } reached
            ? life.Report.At(reached)
            : life.Report.Samples[^1];

    /// <summary>What a fill of so many litres costs, at the last price paid for a medium.</summary>
    private async Task<(decimal? Cost, string Currency)> FillCostAsync(
        double liters,
        CancellationToken cancel
    )
    {
        await using LogbookContext context = store.Read();
        Purchase? last = await context
            .Live<Purchase>()
            .Where(p => p.Kind == CostKind.Medium && p.Volume_m3 > 0)
            .OrderByDescending(p => p.At)
            .FirstOrDefaultAsync(cancel);
        return last is null
            ? (null, "")
            : (
                last.Amount * (decimal)liters / (decimal)(LitersPerCubicMeter * last.Volume_m3!.Value),
                last.Currency
            );
    }
}
