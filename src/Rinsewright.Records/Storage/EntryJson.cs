using System.Globalization;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Storage;

/// <summary>How entries are written as JSON: shortest doubles that read back to the same bits, exact decimals, UTC milliseconds.</summary>
internal static class EntryJson
{
    public static JsonSerializerOptions Options { get; } =
        new()
        {
            PropertyNamingPolicy = ColumnName.Policy,
            Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
            UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
            Converters =
            {
                new InstantConverter(),
                new IdConverterFactory(),
                new JsonStringEnumConverter(ColumnName.Policy, allowIntegerValues: false),
            },
        };

    private sealed class InstantConverter : JsonConverter<DateTimeOffset>
    {
        private const string Format = "yyyy-MM-dd'T'HH:mm:ss.fff'Z'";

        public override DateTimeOffset Read(
            ref Utf8JsonReader reader,
            Type typeToConvert,
            JsonSerializerOptions options
        ) =>
            DateTimeOffset.TryParseExact(
                reader.GetString(),
                Format,
                CultureInfo.InvariantCulture,
                DateTimeStyles.AssumeUniversal,
                out DateTimeOffset at
            )
                ? at
                : throw new JsonException("An instant is written as 2026-03-31T14:05:00.000Z.");

        public override void Write(
            Utf8JsonWriter writer,
            DateTimeOffset value,
            JsonSerializerOptions options
        ) => writer.WriteStringValue(value.UtcDateTime.ToString(Format, CultureInfo.InvariantCulture));
    }

    private sealed class IdConverterFactory : JsonConverterFactory
    {
        public override bool CanConvert(Type typeToConvert) =>
            typeToConvert.IsGenericType && typeToConvert.GetGenericTypeDefinition() == typeof(Id<>);

        public override JsonConverter CreateConverter(Type typeToConvert, JsonSerializerOptions options) =>
            (JsonConverter)
                Activator.CreateInstance(
                    typeof(IdConverter<>).MakeGenericType(typeToConvert.GetGenericArguments())
                )!;
    }

    private sealed class IdConverter<T> : JsonConverter<Id<T>>
        where T : Entry<T>
    {
        public override Id<T> Read(
            ref Utf8JsonReader reader,
            Type typeToConvert,
            JsonSerializerOptions options
        ) => new(reader.GetGuid());

        public override void Write(Utf8JsonWriter writer, Id<T> value, JsonSerializerOptions options) =>
            writer.WriteStringValue(value.Value);
    }
}
