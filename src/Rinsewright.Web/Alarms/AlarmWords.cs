using System.Globalization;
using Microsoft.Extensions.Localization;
using Rinsewright.Records.Alarms;
using Rinsewright.Web.Estimates;

namespace Rinsewright.Web.Alarms;

/// <summary>Puts alarms into words.</summary>
internal sealed class AlarmWords(IStringLocalizer<Texts> texts)
{
    /// <summary>What an alarm is about: a key of the texts.</summary>
    public static string TitleOf(AlarmKind kind) =>
        kind switch
        {
            AlarmKind.Line => Texts.Key("the water behind the bed is past its line"),
            AlarmKind.Chance => Texts.Key("the bed has probably passed its line"),
            AlarmKind.Due => Texts.Key("a change-out is due soon"),
            AlarmKind.Silence => Texts.Key("a device is silent"),
            AlarmKind.Feed => Texts.Key("the raw water has changed"),
            _ => Texts.Key("rows of a device are refused"),
        };

    /// <summary>What was seen and what it was held against.</summary>
    public static Reason DetailOf(Alarm alarm)
    {
        string seen = Number(alarm.Seen, alarm.Unit);
        string limit = Number(alarm.Limit, alarm.Unit);
        return alarm.Kind switch
        {
            AlarmKind.Line => new Reason("It reads {0}; the line is {1}.", seen, limit),
            AlarmKind.Chance => new Reason("The probability is {0}; it is told from {1} on.", seen, limit),
            AlarmKind.Due => new Reason("In about {0}; it is told from {1} on.", seen, limit),
            AlarmKind.Silence => new Reason("Nothing came for {0}; it is told from {1} on.", seen, limit),
            AlarmKind.Feed => new Reason("It reads {0}; before it was {1}.", seen, limit),
            _ => new Reason("{0} within a day; it is told from {1} on.", seen, limit),
        };
    }

    /// <summary>What it is of: the rig, the device, or both.</summary>
    public static string PlaceOf(NamedAlarm alarm) =>
        (alarm.Rig, alarm.Device) switch
        {
            ({ } rig, { } device) => $"{rig} ({device})",
            ({ } rig, null) => rig,
            (null, { } device) => device,
            _ => "",
        };

    /// <summary>One line of a message.</summary>
    public string Line(NamedAlarm named, bool isCleared, TimeZoneInfo zone)
    {
        Alarm alarm = named.Alarm;
        Reason detail = DetailOf(alarm);
        string mark =
            isCleared ? texts["Over"] + ": "
            : alarm.IsUrgent ? texts["Urgent"] + ": "
            : "";
        string raised = texts["Raised {0}.", At(alarm.RaisedAt, zone)];
        string end =
            isCleared && alarm.ClearedAt is { } cleared
                ? " " + texts["Over since {0}.", At(cleared, zone)]
                : "";
        return $"{mark}{PlaceOf(named)}: {texts[TitleOf(alarm.Kind)]}. {texts[detail.Text, detail.Values]} {raised}{end}";
    }

    /// <summary>The heading of a message.</summary>
    public string Subject(DueMessage message)
    {
        if (message.Parts is not [var (named, isCleared)])
        {
            return texts["{0} alarms", message.Parts.Count.ToString(CultureInfo.InvariantCulture)];
        }

        string mark =
            isCleared ? texts["Over"] + ": "
            : named.Alarm.IsUrgent ? texts["Urgent"] + ": "
            : "";
        return $"{mark}{PlaceOf(named)}: {texts[TitleOf(named.Alarm.Kind)]}";
    }

    /// <summary>The text of an e-mail.</summary>
    public string Body(DueMessage message, Uri? link, Uri? page)
    {
        _ = TimeZoneInfo.TryFindSystemTimeZoneById(message.Destination.TimeZone, out TimeZoneInfo? zone);
        IEnumerable<string> lines = message
            .Parts.Take(AlarmDocument.MostTold)
            .Select(p => "- " + Line(p.Alarm, p.IsCleared, zone ?? TimeZoneInfo.Utc));
        int more = message.Parts.Count - AlarmDocument.MostTold;
        List<string> paragraphs = [string.Join("\r\n", lines)];
        if (more > 0)
        {
            paragraphs.Add(texts["{0} more are on the page.", more.ToString(CultureInfo.InvariantCulture)]);
        }

        if (link is not null)
        {
            paragraphs.Add(texts["To say that you see to it, once, without signing in:"] + "\r\n" + link);
        }

        if (page is not null)
        {
            paragraphs.Add(texts["All alarms:"] + "\r\n" + page);
        }

        paragraphs.Add(texts["Figures are estimates: read the meter before you act."]);
        return string.Join("\r\n\r\n", paragraphs) + "\r\n";
    }

    /// <summary>A number as people write it, with its unit.</summary>
    public static string Number(double value, string unit)
    {
        string number = value.ToString(value < 10 ? "0.#" : "0", CultureInfo.InvariantCulture);
        return $"{number} {unit}";
    }

    private static string At(DateTimeOffset at, TimeZoneInfo zone) =>
        TimeZoneInfo.ConvertTime(at, zone).ToString("yyyy-MM-dd HH:mm zzz", CultureInfo.InvariantCulture);
}
