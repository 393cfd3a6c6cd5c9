using System.Text.Json;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Logbook;
using Rinsewright.Web.Devices;

namespace Rinsewright.Web.Alarms;

/// <summary>A message as programs get it, by webhook or broker; described in docs/formats/alarm.md.</summary>
internal static class AlarmDocument
{
    /// <summary>Alarms that one message tells of; the rest are counted (our choice).</summary>
    public const int MostTold = 100;

    public static byte[] Write(DueMessage message, AlarmWords words, Uri? link, DateTimeOffset now)
    {
        using var stream = new MemoryStream();
        using (var json = new Utf8JsonWriter(stream))
        {
            json.WriteStartObject();
            json.WriteString("id", message.Message.Id);
            json.WriteString("sent_at", Instant.Round(now).UtcDateTime);
            json.WriteStartArray("alarms");
            foreach ((NamedAlarm named, bool isCleared) in message.Parts.Take(MostTold))
            {
                Write(json, named, isCleared, words);
            }

            json.WriteEndArray();
            json.WriteNumber("more", Math.Max(0, message.Parts.Count - MostTold));
            json.WriteString("acknowledge", link?.AbsoluteUri);
            json.WriteEndObject();
        }

        return stream.ToArray();
    }

    /// <summary>The topic of a destination at the broker.</summary>
    public static string TopicOf(MqttSource broker, AlarmDestination destination) =>
        $"{broker.Prefix}/alarms/{destination.Id}";

    private static void Write(Utf8JsonWriter json, NamedAlarm named, bool isCleared, AlarmWords words)
    {
        Alarm alarm = named.Alarm;
        json.WriteStartObject();
        json.WriteString("id", alarm.Id);
        json.WriteString("state", isCleared ? "cleared" : "raised");
        json.WriteString("kind", AlarmMeasure.Of(alarm.Kind).Word);
        WriteNamed(json, "rig", alarm.RigId?.Value, named.Rig);
        WriteNamed(json, "device", alarm.DeviceId, named.Device);
        json.WriteBoolean("urgent", alarm.IsUrgent);
        json.WriteNumber("seen", alarm.Seen);
        json.WriteNumber("limit", alarm.Limit);
        json.WriteString("unit", alarm.Unit);
        json.WriteString("raised_at", alarm.RaisedAt.UtcDateTime);
        WriteInstant(json, "cleared_at", alarm.ClearedAt);
        WriteInstant(json, "acknowledged_at", alarm.AcknowledgedAt);
        json.WriteString("text", words.Line(named, isCleared, TimeZoneInfo.Utc));
        json.WriteEndObject();
    }

    private static void WriteNamed(Utf8JsonWriter json, string what, Guid? id, string? name)
    {
        if (id is not { } known)
        {
            json.WriteNull(what);
            return;
        }

        json.WriteStartObject(what);
        json.WriteString("id", known);
        json.WriteString("name", name);
        json.WriteEndObject();
    }

    private static void WriteInstant(Utf8JsonWriter json, string what, DateTimeOffset? at)
    {
        if (at is { } known)
        {
            json.WriteString(what, known.UtcDateTime);
        }
        else
        {
            json.WriteNull(what);
        }
    }
}
