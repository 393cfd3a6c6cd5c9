using Rinsewright.Forecasting;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Forecasts;

/// <summary>How fast water will be drawn through a stage, by how it was drawn lately, or by habit where little was.</summary>
internal static class PastUse
{
    private const double LitersPerCubicMeter = 1000;
    private const double DaysPerWeek = 7;
    private const double WeeksLookedBack = 12;

    /// <summary>The use to expect.</summary>
    /// <param name="history">The rig.</param>
    /// <param name="stage">The stage.</param>
    /// <param name="at">The moment of asking.</param>
    public static Usage Of(RigHistory history, StageHistory stage, DateTimeOffset at)
    {
        double habit = history
            .Habits.Where(h =>
                h.Habit.StageId is null
                || history.Stages.Any(s =>
                    s.Stage.Id == h.Habit.StageId && s.Stage.Position >= stage.Stage.Position
                )
            )
            .Sum(h => h.Habit.TimesPerWeek * LitersPerCubicMeter * h.Task.Volume_m3);
        Draw[] lately =
        [
            .. stage
                .Fills.SelectMany(f => f.Draws)
                .Where(d => d.At <= at && (at - d.At).TotalDays <= DaysPerWeek * WeeksLookedBack),
        ];
        if (lately.Length < 2)
        {
            return new Usage(Math.Max(habit, 1), 0.3);
        }

        double weeks = Math.Max((at - lately.Min(d => d.At)).TotalDays / DaysPerWeek, 1);
        double[] byWeek = new double[(int)Math.Ceiling(weeks)];
        foreach (Draw draw in lately)
        {
            int week = Math.Min((int)((at - draw.At).TotalDays / DaysPerWeek), byWeek.Length - 1);
            byWeek[week] += LitersPerCubicMeter * draw.Volume_m3;
        }

        double mean = byWeek.Sum() / weeks;
        double scatter =
            byWeek.Length > 1
                ? Math.Sqrt(byWeek.Sum(w => (w - mean) * (w - mean)) / (byWeek.Length - 1)) / mean
                : 0.5;
        return new Usage(mean, Math.Max(scatter / Math.Sqrt(byWeek.Length), 0.05), scatter);
    }
}
