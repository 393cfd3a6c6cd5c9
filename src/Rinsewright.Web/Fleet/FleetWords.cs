using Rinsewright.Records.Fleet;

namespace Rinsewright.Web.Fleet;

/// <summary>Says in the person's words what is to be said of a rig on the board.</summary>
internal static class FleetWords
{
    /// <summary>A reason, with how long it has held.</summary>
    public static string Say(Speech S, FleetRig rig, FleetReasons reason, DateTimeOffset now) =>
        reason switch
        {
            FleetReasons.PastLine when rig.PastAt is { } past && (now - past).TotalDays >= 1 => S[
                "past its line for {0}",
                S.Span((now - past).TotalDays)
            ],
            FleetReasons.Silent when rig.HeardAt is { } heard => S[
                "silent for {0}",
                S.Span((now - heard).TotalDays)
            ],
            _ => Name(S, reason),
        };

    /// <summary>A reason by itself.</summary>
    public static string Name(Speech S, FleetReasons reason) =>
        reason switch
        {
            FleetReasons.PastLine => S["past its line"],
            FleetReasons.DueThisWeek => S["due this week"],
            FleetReasons.Silent => S["silent"],
            FleetReasons.NoWater => S["no water known"],
            FleetReasons.NoFill => S["no fill known"],
            FleetReasons.NoForecast => S["no forecast of this fill yet"],
            _ => S["nothing to do"],
        };

    /// <summary>How an urgency looks, as on the page Today.</summary>
    public static string Look(FleetUrgency urgency) =>
        urgency switch
        {
            FleetUrgency.PastLine => "due",
            FleetUrgency.Due => "soon",
            FleetUrgency.Fine => "good",
            _ => "unknown",
        };

    /// <summary>How long ago something was: <c>3 days ago</c>.</summary>
    public static string Ago(Speech S, TimeSpan age) =>
        age.TotalHours < 1 ? S["within the hour"]
        : age.TotalHours < 2 ? S["an hour ago"]
        : age.TotalHours < 48 ? S["{0} hours ago", (int)age.TotalHours]
        : S["{0} ago", S.Span(age.TotalDays)];

    /// <summary>The day on which an instant falls where a rig is.</summary>
    public static DateOnly DayOf(FleetRig rig, DateTimeOffset at) =>
        DateOnly.FromDateTime(
            TimeZoneInfo
                .ConvertTime(
                    at,
                    TimeZoneInfo.TryFindSystemTimeZoneById(rig.TimeZone, out TimeZoneInfo? zone)
                        ? zone
                        : TimeZoneInfo.Utc
                )
                .DateTime
        );
}
