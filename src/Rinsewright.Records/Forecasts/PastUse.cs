using Rinsewright.Forecasting;
using Rinsewright.Records.Histories;

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
        DateTimeOffset first = at.AddDays(-DaysPerWeek * WeeksLookedBack);
        Run[] lately =
        [
            .. stage.Fills.SelectMany(f => RunsOf(history, f)).Where(r => r.From <= at && r.To >= first),
        ];
        // One draw says nothing of a week; what a meter counted between two readings does.
        if (lately.Length < 2 && !lately.Any(r => r.To > r.From))
        {
            return new Usage(Math.Max(habit, 1), 0.3);
        }

        DateTimeOffset begin = lately.Min(r => r.From < first ? first : r.From);
        double weeks = Math.Max((at - begin).TotalDays / DaysPerWeek, 1);
        double[] byWeek = new double[(int)Math.Ceiling(weeks)];
        for (int week = 0; week < byWeek.Length; week++)
        {
            double young = week * DaysPerWeek;
            double old = week == byWeek.Length - 1 ? double.PositiveInfinity : young + DaysPerWeek;
            byWeek[week] =
                LitersPerCubicMeter
                * lately.Sum(r => r.Volume_m3 * r.ShareOf((at - begin).TotalDays, at, young, old));
        }

        double mean = byWeek.Sum() / weeks;
        double scatter =
            byWeek.Length > 1
                ? Math.Sqrt(byWeek.Sum(w => (w - mean) * (w - mean)) / (byWeek.Length - 1)) / mean
                : 0.5;
        return new Usage(mean, Math.Max(scatter / Math.Sqrt(byWeek.Length), 0.05), scatter);
    }

    private static IEnumerable<Run> RunsOf(RigHistory history, FillHistory fill) =>
        fill
            .Draws.Select(d => new Run(d.At, d.At, d.Volume_m3))
            .Concat(RigForecast.Unlogged(history, fill).Select(p => new Run(p.From, p.To, p.Unlogged_m3)));

    /// <summary>Water that ran some time between two instants [m³].</summary>
    private sealed record Run(DateTimeOffset From, DateTimeOffset To, double Volume_m3)
    {
        /// <summary>How much of it ran between two ages [d] before an instant, none of it longer ago than <paramref name="most"/> [d].</summary>
        public double ShareOf(double most, DateTimeOffset at, double young, double old)
        {
            double oldest = (at - From).TotalDays;
            double youngest = (at - To).TotalDays;
            return To == From
                ? oldest >= young && oldest < old
                    ? 1
                    : 0
                : Math.Max(0, Math.Min(oldest, Math.Min(old, most)) - Math.Max(youngest, young))
                    / (oldest - youngest);
        }
    }
}
