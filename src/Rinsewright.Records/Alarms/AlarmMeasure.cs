using System.Runtime.InteropServices;

namespace Rinsewright.Records.Alarms;

/// <summary>What the limit of a kind of alarm means, what it usually is, and when such an alarm is over. All figures are our choice.</summary>
/// <param name="Kind">The kind.</param>
/// <param name="Word">Its name on the command line and in the API.</param>
/// <param name="Unit">The unit of its limit.</param>
/// <param name="Usual">The limit, unless somebody sets another.</param>
/// <param name="Least">The least limit that may be set.</param>
/// <param name="Most">The greatest.</param>
/// <param name="Back">The share of its limit to which a value must come back before the alarm is over.</param>
/// <param name="IsUsuallyUrgent">Whether it is urgent, unless somebody says otherwise.</param>
/// <param name="Meaning">What the limit is of, in words.</param>
public sealed record AlarmMeasure(
    AlarmKind Kind,
    string Word,
    string Unit,
    double Usual,
    double Least,
    double Most,
    double Back,
    bool IsUsuallyUrgent,
    string Meaning
)
{
    /// <summary>Every kind.</summary>
    public static IReadOnlyList<AlarmMeasure> All { get; } =
    [
        new(
            AlarmKind.Line,
            "line",
            "%",
            Usual: 100,
            Least: 10,
            Most: 1000,
            Back: 0.8,
            IsUsuallyUrgent: true,
            "last reading behind the bed, as a share of its change-out line"
        ),
        new(
            AlarmKind.Chance,
            "chance",
            "%",
            Usual: 50,
            Least: 1,
            Most: 99,
            Back: 0.8,
            IsUsuallyUrgent: false,
            "probability that the line is passed, by the forecast"
        ),
        new(
            AlarmKind.Due,
            "due",
            "d",
            Usual: 7,
            Least: 1,
            Most: 365,
            Back: 1.5,
            IsUsuallyUrgent: false,
            "days to the change-out, the middle of the forecast"
        ),
        new(
            AlarmKind.Silence,
            "silence",
            "h",
            Usual: 24,
            Least: 0.25,
            Most: 24 * 60,
            Back: 1,
            IsUsuallyUrgent: false,
            "hours since a device last delivered"
        ),
        new(
            AlarmKind.Feed,
            "feed",
            "%",
            Usual: 40,
            Least: 5,
            Most: 1000,
            Back: 0.5,
            IsUsuallyUrgent: false,
            "change of the raw water's strength, the last two days against the four weeks before"
        ),
        new(
            AlarmKind.Refused,
            "refused",
            "rows",
            Usual: 10,
            Least: 1,
            Most: 1e6,
            Back: 0.5,
            IsUsuallyUrgent: false,
            "different rows of a device that were refused within a day"
        ),
    ];

    // Days to go are the only ones that alarm by growing less.
    private bool IsWorseBelow => Back > 1;

    public static AlarmMeasure Of(AlarmKind kind) => All.First(m => m.Kind == kind);

    /// <summary>The kind of that name; nothing when there is none.</summary>
    public static AlarmMeasure? Named(string? word) =>
        All.FirstOrDefault(m => string.Equals(m.Word, word, StringComparison.OrdinalIgnoreCase));

    public bool IsPast(double seen, double limit) => IsWorseBelow ? seen <= limit : seen >= limit;

    public bool IsGone(double seen, double limit) => IsWorseBelow ? seen > Back * limit : seen < Back * limit;
}

/// <summary>Times of day between which nobody is to be disturbed, where the people are.</summary>
/// <param name="From">They begin then.</param>
/// <param name="Until">They end then; the next day if that is the earlier time of day.</param>
/// <param name="Zone">By the clocks of this zone.</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct QuietHours(TimeOnly From, TimeOnly Until, TimeZoneInfo Zone)
{
    /// <summary>The earliest instant from <paramref name="at"/> on at which one may disturb.</summary>
    public DateTimeOffset EndAfter(DateTimeOffset at)
    {
        DateTime local = TimeZoneInfo.ConvertTime(at, Zone).DateTime;
        var time = TimeOnly.FromDateTime(local);
        bool isOvernight = Until <= From;
        bool isLate = time >= From;
        if (!(isOvernight ? isLate || time < Until : isLate && time < Until))
        {
            return at;
        }

        DateTime end = local.Date.AddDays(isOvernight && isLate ? 1 : 0) + Until.ToTimeSpan();
        while (Zone.IsInvalidTime(end))
        {
            // The clocks are put forward over it: it ends as they are.
            end = end.AddMinutes(1);
        }

        TimeSpan[] offsets = Zone.IsAmbiguousTime(end)
            ? Zone.GetAmbiguousTimeOffsets(end)
            : [Zone.GetUtcOffset(end)];
        return offsets
            .Select(o => new DateTimeOffset(end, o).ToUniversalTime())
            .Where(e => e > at)
            .Order()
            .First();
    }
}
