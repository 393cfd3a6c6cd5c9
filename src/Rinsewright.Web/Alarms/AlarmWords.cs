using System.Globalization;
using Microsoft.Extensions.Localization;
using Rinsewright.Quantities;
using Rinsewright.Records.Alarms;

namespace Rinsewright.Web.Alarms;

/// <summary>Puts alarms into words.</summary>
internal sealed class AlarmWords(IStringLocalizer<Texts> texts)
{
    private const string Rows = "rows";

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

    /// <summary>By what way messages go: a key of the texts.</summary>
    public static string WayOf(DeliveryRoute route) =>
        route switch
        {
            DeliveryRoute.Mail => Texts.Key("e-mail"),
            DeliveryRoute.Webhook => Texts.Key("webhook"),
            _ => Texts.Key("broker"),
        };

    /// <summary>What was seen and what it was held against.</summary>
    public static Sentence DetailOf(Alarm alarm)
    {
        Sentence seen = Number(alarm.Seen, alarm.Unit);
        Sentence limit = Number(alarm.Limit, alarm.Unit);
        return alarm.Kind switch
        {
            AlarmKind.Line => Sentence.Of($"It reads {seen}; the line is {limit}."),
            AlarmKind.Chance => Sentence.Of($"The probability is {seen}; it is told from {limit} on."),
            AlarmKind.Due => Sentence.Of($"In about {seen}; it is told from {limit} on."),
            AlarmKind.Silence => Sentence.Of($"Nothing came for {seen}; it is told from {limit} on."),
            AlarmKind.Feed => Sentence.Of($"It reads {seen}; before it was {limit}."),
            _ => Sentence.Of($"{seen} within a day; it is told from {limit} on."),
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
        string mark =
            isCleared ? texts["Over"] + ": "
            : alarm.IsUrgent ? texts["Urgent"] + ": "
            : "";
        string raised = texts["Raised {0}.", At(alarm.RaisedAt, zone)];
        string end =
            isCleared && alarm.ClearedAt is { } cleared
                ? " " + texts["Over since {0}.", At(cleared, zone)]
                : "";
        return $"{mark}{PlaceOf(named)}: {texts[TitleOf(alarm.Kind)]}. {Say(DetailOf(alarm))} {raised}{end}";
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
    public static Sentence Number(double value, string unit)
    {
        string number = value.ToString(value < 10 ? "0.#" : "0", CultureInfo.InvariantCulture);
        return unit is Rows ? Sentence.Of($"{number} rows") : Sentence.Written($"{number} {unit}");
    }

    /// <summary>The unit of a limit: a symbol, or a word that is a key of the texts.</summary>
    public static Sentence UnitOf(AlarmMeasure measure) =>
        measure.Unit is Rows ? Sentence.Of("rows") : Sentence.Written(measure.Unit);

    private string Say(Sentence sentence) => Speech.Say(sentence, text => texts[text], value => value);

    private static string At(DateTimeOffset at, TimeZoneInfo zone) =>
        TimeZoneInfo.ConvertTime(at, zone).ToString("yyyy-MM-dd HH:mm zzz", CultureInfo.InvariantCulture);
}
