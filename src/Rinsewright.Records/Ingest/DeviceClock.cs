using System.Text;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Ingest;

/// <summary>Puts what a device's clock showed on the clock of this program.</summary>
internal sealed class DeviceClock
{
    /// <summary>A difference that the way to here may make (our choice); it is not corrected.</summary>
    public static readonly TimeSpan Unnoticed = TimeSpan.FromSeconds(5);

    /// <summary>The greatest difference that is corrected (our choice): more is a clock that was never set.</summary>
    public static readonly TimeSpan MostCorrection = TimeSpan.FromDays(7);

    /// <summary>How far ahead of this program's clock an instant may lie (our choice).</summary>
    public static readonly TimeSpan Ahead = TimeSpan.FromMinutes(2);

    private static readonly DateTimeOffset Earliest = new(2000, 1, 1, 0, 0, 0, TimeSpan.Zero);

    private readonly DateTimeOffset _now;
    private readonly DeliveryWay _way;
    private readonly InputProblem? _problem;

    private DeviceClock(DateTimeOffset now, DeliveryWay way, TimeSpan correction, InputProblem? problem)
    {
        _now = now;
        _way = way;
        Correction = correction;
        _problem = problem;
    }

    /// <summary>What is added to the instants that the device states.</summary>
    public TimeSpan Correction { get; }

    public static DeviceClock Of(string? stated, DeliveryWay way, DateTimeOffset now)
    {
        if (stated is null)
        {
            return new(now, way, TimeSpan.Zero, null);
        }

        if (way is DeliveryWay.Mqtt)
        {
            return Unusable(
                Sentence.Of(
                    "no clock: a broker may have held the message, so that it does not tell how the device's clock stands"
                )
            );
        }

        if (!InstantText.TryParse(Encoding.UTF8.GetBytes(stated), null, TimeZoneInfo.Utc, out var clock))
        {
            return Unusable(Sentence.Of("a date and time such as 2027-03-31T14:05:00Z"));
        }

        TimeSpan difference = now - clock;
        return difference.Duration() <= Unnoticed ? new(now, way, TimeSpan.Zero, null)
            : difference.Duration() <= MostCorrection ? new(now, way, difference, null)
            : Unusable(
                Sentence.Of("a clock within 7 days of this program's; more is a clock that was never set")
            );

        DeviceClock Unusable(Sentence expected) =>
            new(now, way, TimeSpan.Zero, new InputProblem("clock", stated, expected));
    }

    /// <summary>The instant of a row by the device's clock and by this program's; nothing and a problem when it cannot be.</summary>
    public (DateTimeOffset Stated, DateTimeOffset At)? Place(RowText row, Rig rig, ProblemList problems)
    {
        if (_problem is { } problem)
        {
            problems.Add(problem);
            return null;
        }

        DateTimeOffset stated;
        DateTimeOffset at;
        if (row["at"] is { } text)
        {
            TimeZoneInfo zone = TimeZoneInfo.FindSystemTimeZoneById(rig.TimeZone);
            if (!InstantText.TryParse(Encoding.UTF8.GetBytes(text), null, zone, out stated))
            {
                problems.Add("at", text, "a date and time such as 2027-03-31T14:05:00Z");
                return null;
            }

            at = Corrected(stated);
        }
        else if (_way is DeliveryWay.Mqtt)
        {
            problems.Add("at", "", "a date and time: a broker may have held the message");
            return null;
        }
        else
        {
            double age_s = Age(row, problems);
            stated = at = _now.AddSeconds(-age_s);
        }

        problems.Require(
            at >= Earliest,
            "at",
            $"{at:yyyy-MM-dd'T'HH:mm:ss'Z'}",
            "an instant after 2000; the device's clock is not set: send its clock along, or age_s instead"
        );
        problems.Require(
            at <= _now + Ahead,
            "at",
            $"{at:yyyy-MM-dd'T'HH:mm:ss'Z'}",
            "an instant that has come: the device's clock is ahead, send its clock along"
        );
        return (Instant.Round(stated), Instant.Round(at));
    }

    private DateTimeOffset Corrected(DateTimeOffset stated)
    {
        long ticks = stated.UtcTicks + Correction.Ticks;
        return new(Math.Clamp(ticks, 0, DateTimeOffset.MaxValue.UtcTicks), TimeSpan.Zero);
    }

    private static double Age(RowText row, ProblemList problems)
    {
        if (row["age_s"] is not { } text)
        {
            return 0;
        }

        bool isAge =
            double.TryParse(
                text,
                System.Globalization.NumberStyles.Float,
                System.Globalization.CultureInfo.InvariantCulture,
                out double age_s
            ) && age_s is >= 0 and <= 1e8;
        problems.Require(isAge, "age_s", $"{text}", "seconds since it was measured");
        return isAge ? age_s : 0;
    }
}
