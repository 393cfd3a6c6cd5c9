namespace Rinsewright.Records.Fleet;

/// <summary>
/// The order of the board (docs/fleet.md): rigs that are more likely than not past a line, the longest first; then those with a
/// change-out due within a week, the soonest first; then those of which nothing was heard for a week, the longest first; then those
/// that cannot be forecast; then the rest, by their next change-out. The order is total: what is alike goes by id.
/// </summary>
public static class FleetRule
{
    /// <summary>A change-out within this time is due (our choice: a van's round comes once a week).</summary>
    public static readonly TimeSpan DueWithin = TimeSpan.FromDays(7);

    /// <summary>A rig that is not heard of for this time is silent (our choice: a rig in use is read once a week).</summary>
    public static readonly TimeSpan SilentAfter = TimeSpan.FromDays(7);

    // Places before and after all that have a date.
    private static readonly DateTimeOffset First = DateTimeOffset.UnixEpoch;
    private static readonly DateTimeOffset Last = new(9999, 1, 1, 0, 0, 0, TimeSpan.Zero);

    /// <summary>Puts a rig in its place.</summary>
    /// <param name="rig">What the record says of it; of its reasons those that do not hang on the time.</param>
    /// <param name="stages">Its fills.</param>
    /// <param name="now">The moment.</param>
    public static FleetRig Judge(FleetRig rig, IReadOnlyCollection<FleetStage> stages, DateTimeOffset now)
    {
        FleetStage? next = stages.Where(s => s.DueAt is not null).MinBy(s => (s.DueAt, s.StageId.Value));
        DateTimeOffset? pastAt = stages.Min(s => s.PastAt);
        FleetReasons reasons =
            (rig.Reasons & (FleetReasons.NoWater | FleetReasons.NoFill | FleetReasons.NoForecast))
            | (pastAt <= now ? FleetReasons.PastLine : FleetReasons.None)
            | (
                stages.Any(s => !(s.PastAt <= now) && s.DueAt - DueWithin <= now)
                    ? FleetReasons.DueThisWeek
                    : FleetReasons.None
            )
            | (rig.HeardAt + SilentAfter <= now ? FleetReasons.Silent : FleetReasons.None);
        FleetUrgency urgency = UrgencyOf(reasons);
        return rig with
        {
            Reasons = reasons,
            Urgency = urgency,
            RankAt = urgency switch
            {
                FleetUrgency.PastLine => pastAt!.Value,
                FleetUrgency.Due or FleetUrgency.Fine => next?.DueAt ?? Last,
                _ => rig.HeardAt ?? First,
            },
            ChangesAt = stages
                .SelectMany(s => (DateTimeOffset?[])[s.PastAt, s.DueAt - DueWithin])
                .Append(rig.HeardAt + SilentAfter)
                .Where(at => at > now)
                .Min(),
            PastAt = pastAt,
            DueStageId = next?.StageId,
            DueStage = next?.Name,
            DueAt = next?.DueAt,
            DueFrom = RangeOf(next, 0.05),
            DueTo = RangeOf(next, 0.95),
        };
    }

    /// <summary>How urgent a rig is of which this is to be said.</summary>
    public static FleetUrgency UrgencyOf(FleetReasons reasons) =>
        reasons.HasFlag(FleetReasons.PastLine) ? FleetUrgency.PastLine
        : reasons.HasFlag(FleetReasons.DueThisWeek) ? FleetUrgency.Due
        : reasons.HasFlag(FleetReasons.Silent) ? FleetUrgency.Silent
        : reasons is FleetReasons.None ? FleetUrgency.Fine
        : FleetUrgency.Unknown;

    /// <summary>The rigs in the order of the board.</summary>
    /// <param name="rigs">The rigs.</param>
    public static IOrderedQueryable<FleetRig> Ordered(IQueryable<FleetRig> rigs) =>
        rigs.OrderBy(r => r.Urgency).ThenBy(r => r.RankAt).ThenBy(r => r.RigId);

    private static DateTimeOffset? RangeOf(FleetStage? stage, double probability) =>
        stage is { ForecastAt: { } from, DaysQuantiles_d: { } days }
            ? Earlier(
                Forecasts.KeptQuantiles.After(from, Forecasts.KeptQuantiles.At(days, probability)),
                stage.ServiceUntil
            )
            : stage?.ServiceUntil;

    private static DateTimeOffset? Earlier(DateTimeOffset? one, DateTimeOffset? other) =>
        one is null || other < one ? other : one;
}
