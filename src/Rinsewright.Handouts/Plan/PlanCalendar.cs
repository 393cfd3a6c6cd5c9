using System.Runtime.Serialization;
using Ical.Net;
using Ical.Net.CalendarComponents;
using Ical.Net.DataTypes;
using Ical.Net.Serialization;

namespace Rinsewright.Handouts.Plan;

/// <summary>
/// A maintenance plan as a calendar (RFC 5545) to be taken in once or fetched again and again: entries keep their identity, and the
/// sequence number of an entry grows when its day or its text has changed.
/// </summary>
public static class PlanCalendar
{
    private static readonly DateTimeOffset FirstRevision = new(2020, 1, 1, 0, 0, 0, TimeSpan.Zero);

    /// <summary>A sequence number for calendars whose earlier ones are not at hand: it grows with the seconds and so never falls.</summary>
    public static int RevisionAt(DateTimeOffset at) =>
        (int)Math.Clamp((at - FirstRevision).TotalSeconds, 0, int.MaxValue);

    /// <summary>The calendar.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="revision">
    /// Sequence number of entries that the earlier calendar does not hold, such as the number of the record's last edit: it must not
    /// fall.
    /// </param>
    /// <param name="earlier">The calendar as it was handed out before, if it is at hand.</param>
    public static string Write(MaintenancePlan plan, int revision, string? earlier = null)
    {
        Dictionary<string, CalendarEvent> before = earlier is null ? [] : EntriesOf(earlier);
        var stamp = new CalDateTime(plan.At.UtcDateTime, CalDateTime.UtcTzId);
        var calendar = new Calendar
        {
            ProductId = "-//Rinsewright//Maintenance plan//EN",
            Method = "PUBLISH",
        };
        calendar.AddProperty("X-WR-CALNAME", $"{plan.Rig}: maintenance");
        foreach (Duty duty in plan.Duties)
        {
            CalendarEvent entry = EntryOf(duty, stamp);
            entry.Sequence = before.TryGetValue(duty.Uid, out CalendarEvent? old)
                ? old.Sequence + (IsSame(old, entry) ? 0 : 1)
                : revision;
            calendar.Events.Add(entry);
        }

        return new CalendarSerializer().SerializeToString(calendar)
            ?? throw new InvalidOperationException("The calendar could not be written.");
    }

    /// <summary>Whether a text is a calendar whose entries can be followed.</summary>
    public static bool CanRenew(string text)
    {
        try
        {
            return Calendar.Load(text) is not null && EntriesOf(text) is not null;
        }
        catch (Exception e) when (e is SerializationException or ArgumentException or FormatException)
        {
            return false;
        }
    }

    /// <summary>The entries by identity: the last of those that share one.</summary>
    private static Dictionary<string, CalendarEvent> EntriesOf(string text) =>
        Calendar
            .Load(text)
            ?.Events.Where(e => e.Uid is not null)
            .GroupBy(e => e.Uid!, StringComparer.Ordinal)
            .ToDictionary(e => e.Key, e => e.Last(), StringComparer.Ordinal)
        ?? [];

    private static CalendarEvent EntryOf(Duty duty, CalDateTime stamp)
    {
        var entry = new CalendarEvent
        {
            Uid = duty.Uid,
            DtStamp = stamp,
            Start = new CalDateTime(duty.On.Year, duty.On.Month, duty.On.Day),
            Summary = duty.Summary.ToString(),
            Description = duty.Text,
            Transparency = TransparencyType.Transparent,
        };
        if (duty.EveryDays is { } days)
        {
            entry.RecurrenceRule = new RecurrenceRule(FrequencyType.Daily, days);
        }
        else if (duty.EveryMonths is { } months)
        {
            entry.RecurrenceRule = new RecurrenceRule(FrequencyType.Monthly, months);
        }

        entry.Alarms.Add(
            new Alarm
            {
                Action = AlarmAction.Display,
                Description = duty.Summary.ToString(),
                Trigger = new Trigger(Duration.FromDays(-duty.RemindDays)),
            }
        );
        return entry;
    }

    private static bool IsSame(CalendarEvent one, CalendarEvent other) =>
        one.Start?.Date == other.Start?.Date
        && string.Equals(one.Summary, other.Summary, StringComparison.Ordinal)
        && string.Equals(one.Description, other.Description, StringComparison.Ordinal);
}
