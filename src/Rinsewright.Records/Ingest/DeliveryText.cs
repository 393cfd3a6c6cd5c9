using System.Text;
using System.Text.Json;
using CsvHelper;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;

namespace Rinsewright.Records.Ingest;

/// <summary>Reads deliveries: JSON of one row, JSON of many, CSV.</summary>
public static class DeliveryText
{
    private static readonly JsonDocumentOptions Lenient = new()
    {
        AllowTrailingCommas = true,
        CommentHandling = JsonCommentHandling.Skip,
        MaxDepth = 8,
    };

    /// <summary>One row, with the device's <c>clock</c> beside its fields if it says it.</summary>
    public static Delivery? OfRow(
        ReadOnlyMemory<byte> json,
        DeliveryWay way,
        out IReadOnlyList<InputProblem> problems
    ) =>
        Read(
            json,
            root => new Delivery(way, TextOf(root, "clock"), [RowText.Of(root, "clock", "key")]),
            out problems
        );

    /// <summary>Many: <c>{"clock": …, "rows": […]}</c>.</summary>
    public static Delivery? OfRows(
        ReadOnlyMemory<byte> json,
        DeliveryWay way,
        out IReadOnlyList<InputProblem> problems
    ) =>
        Read(
            json,
            root =>
                root.TryGetProperty("rows", out JsonElement rows) && rows.ValueKind is JsonValueKind.Array
                    ? new Delivery(
                        way,
                        TextOf(root, "clock"),
                        [.. rows.EnumerateArray().Select(r => RowText.Of(r))]
                    )
                    : null,
            out problems
        );

    /// <summary>
    /// A message of either form that came by MQTT. One that cannot be read is a row with what is wrong with it, so that it is kept
    /// among the refused ones.
    /// </summary>
    /// <param name="json">The message.</param>
    /// <param name="key">The device's key, if it stands in the message.</param>
    public static Delivery OfMessage(ReadOnlyMemory<byte> json, out string? key)
    {
        string? stated = null;
        IReadOnlyList<InputProblem> ofForm = [];
        Delivery? delivery = Read(
            json,
            root =>
            {
                stated = TextOf(root, "key");
                return root.TryGetProperty("rows", out _)
                    ? OfRows(json, DeliveryWay.Mqtt, out ofForm)
                    : OfRow(json, DeliveryWay.Mqtt, out ofForm);
            },
            out IReadOnlyList<InputProblem> problems
        );
        key = stated;
        // What is kept of a message must not hold the key that stands in it, in whatever spelling.
        return delivery
            ?? new Delivery(
                DeliveryWay.Mqtt,
                null,
                [
                    stated is null
                        ? RowText.Unread(Shortened(json), problems)
                        : RowText.Unread(
                            "",
                            [
                                .. ofForm.Select(p =>
                                    p.Place is "body" ? new InputProblem(p.Place, "", p.Expected) : p
                                ),
                            ]
                        ),
                ]
            );
    }

    /// <summary>A table (RFC 4180) whose header names the fields of a row.</summary>
    public static Delivery? OfCsv(Stream file, string? clock, out IReadOnlyList<InputProblem> problems)
    {
        try
        {
            var format = new CsvFormat(',');
            using CsvReader reader = format.Open(file);
            List<RowText> rows = [];
            string[] headers = [.. reader.Headers.Select(h => h.Trim())];
            while (reader.Read())
            {
                string[] texts = [.. headers.Select((_, i) => reader.GetString(i))];
                string raw = string.Join(',', texts);
                rows.Add(
                    format.TakeProblem() is { } malformed
                        ? RowText.Unread(raw, [malformed])
                        : RowText.Of(
                            headers.Zip(texts, (h, t) => new KeyValuePair<string, string>(h, t)),
                            raw
                        )
                );
            }

            return Limited(new Delivery(DeliveryWay.Http, clock, rows), out problems);
        }
        catch (CsvFormatException problem)
        {
            problems =
            [
                new(
                    "table",
                    problem.Message,
                    "rows of 64 KiB at most below a header, and quotes that are closed (RFC 4180)"
                ),
            ];
            return null;
        }
    }

    private static Delivery? Read(
        ReadOnlyMemory<byte> json,
        Func<JsonElement, Delivery?> make,
        out IReadOnlyList<InputProblem> problems
    )
    {
        try
        {
            using JsonDocument document = JsonDocument.Parse(json, Lenient);
            if (
                document.RootElement.ValueKind is JsonValueKind.Object
                && make(document.RootElement) is { } made
            )
            {
                return Limited(made, out problems);
            }

            problems = [new("body", Shortened(json), "an object as docs/formats/ingest.md has it")];
        }
        catch (Exception problem) when (problem is JsonException or InvalidOperationException)
        {
            // The second of a text that has half of a surrogate pair.
            problems = [new("body", problem.Message, "JSON text, see docs/formats/ingest.md")];
        }

        return null;
    }

    private static Delivery? Limited(Delivery delivery, out IReadOnlyList<InputProblem> problems)
    {
        problems = delivery.Rows.Count is > 0 and <= Delivery.MostRows
            ? []
            : [new("rows", Sentence.Of($"{delivery.Rows.Count} rows"), $"1 to {Delivery.MostRows}")];
        return problems.Count == 0 ? delivery : null;
    }

    private static string? TextOf(JsonElement root, string name) =>
        root.TryGetProperty(name, out JsonElement value) && value.ValueKind is JsonValueKind.String
            ? value.GetString()
            : null;

    private static string Shortened(ReadOnlyMemory<byte> json) =>
        Encoding.UTF8.GetString(json.Span[..Math.Min(json.Length, 200)]);
}
