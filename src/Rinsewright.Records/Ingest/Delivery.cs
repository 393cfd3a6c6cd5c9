using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Ingest;

/// <summary>One row as a device wrote it; texts with their units. What each means stands in docs/formats/ingest.md.</summary>
public sealed record RowText
{
    /// <summary>The names of the fields, which are those of the JSON and of the CSV header.</summary>
    public static IReadOnlyList<string> Fields { get; } =
    [
        "kind",
        "at",
        "age_s",
        "sequence",
        "boot",
        "rig",
        "stage",
        "place",
        "meter",
        "what",
        "value",
        "unit",
        "count",
        "temperature",
        "flow",
        "settled",
    ];

    private readonly Dictionary<string, string> _texts;

    private RowText(Dictionary<string, string> texts, string raw)
    {
        _texts = texts;
        Raw = raw;
    }

    /// <summary>The row as one text, to be kept when it is refused.</summary>
    public string Raw { get; }

    /// <summary>What is wrong with the row as a text.</summary>
    public IReadOnlyList<InputProblem> Problems { get; private init; } = [];

    /// <summary>The text of a field; nothing when it is not there or empty.</summary>
    public string? this[string field] => _texts.GetValueOrDefault(field);

    /// <summary>A row of which field by field the text is known.</summary>
    internal static RowText Of(IEnumerable<KeyValuePair<string, string>> fields, string raw)
    {
        var texts = new Dictionary<string, string>(StringComparer.Ordinal);
        List<InputProblem> problems = [];
        foreach ((string field, string text) in fields)
        {
            if (!Fields.Contains(field, StringComparer.Ordinal))
            {
                problems.Add(new(PlaceOf(field), text, $"one of {string.Join(", ", Fields)}"));
            }
            else if (text.Trim() is { Length: > 0 } said && !texts.TryAdd(field, said))
            {
                problems.Add(new(field, text, "one value"));
            }
        }

        return new RowText(texts, raw) { Problems = problems };
    }

    /// <summary>A row that was read before, elsewhere.</summary>
    internal static RowText Again(
        IEnumerable<KeyValuePair<string, string>> texts,
        string raw,
        IReadOnlyList<InputProblem> problems
    ) => new(new Dictionary<string, string>(texts, StringComparer.Ordinal), raw) { Problems = problems };

    /// <summary>What could not be read as rows.</summary>
    internal static RowText Unread(string raw, IReadOnlyList<InputProblem> problems) =>
        new([], raw) { Problems = problems };

    /// <summary>A row of JSON: an object whose members are texts, numbers or truth values.</summary>
    /// <param name="row">The object.</param>
    /// <param name="apart">Members that are no part of the row; they are not kept, as one of them may be a key.</param>
    internal static RowText Of(JsonElement row, params ReadOnlySpan<string> apart)
    {
        if (row.ValueKind is not JsonValueKind.Object)
        {
            return new RowText([], row.GetRawText())
            {
                Problems = [new("row", row.GetRawText(), "an object")],
            };
        }

        List<InputProblem> nested = [];
        List<KeyValuePair<string, string>> fields = [];
        foreach (JsonProperty member in row.EnumerateObject())
        {
            if (!TryText(() => member.Name, out string name))
            {
                nested.Add(new("row", member.Value.GetRawText(), "names without broken characters"));
                continue;
            }

            if (apart.Contains(name, StringComparer.Ordinal))
            {
                continue;
            }

            switch (member.Value.ValueKind)
            {
                case JsonValueKind.Null:
                    break;
                case JsonValueKind.String when TryText(() => member.Value.GetString()!, out string text):
                    fields.Add(new(name, text));
                    break;
                case JsonValueKind.Number or JsonValueKind.True or JsonValueKind.False:
                    fields.Add(new(name, member.Value.GetRawText()));
                    break;
                default:
                    nested.Add(
                        new(
                            PlaceOf(name),
                            member.Value.GetRawText(),
                            "a text without broken characters or a number"
                        )
                    );
                    break;
            }
        }

        RowText read = Of(
            fields,
            apart.IsEmpty
                ? row.GetRawText()
                : JsonSerializer.Serialize(
                    fields
                        .DistinctBy(f => f.Key, StringComparer.Ordinal)
                        .ToDictionary(f => f.Key, f => f.Value, StringComparer.Ordinal),
                    EntryJson.Options
                )
        );
        return read with { Problems = [.. read.Problems, .. nested] };
    }

    private static string PlaceOf(string field) =>
        string.IsNullOrWhiteSpace(field) ? "a field without a name" : field;

    private static bool TryText(Func<string> read, out string text)
    {
        try
        {
            text = read();
            return true;
        }
        catch (InvalidOperationException)
        {
            // Half of a surrogate pair, which no text has.
            text = "";
            return false;
        }
    }
}

/// <summary>By which way a delivery came.</summary>
public enum DeliveryWay
{
    Http = 1,
    Mqtt = 2,
}

/// <summary>Rows that came together.</summary>
/// <param name="Way">By which way.</param>
/// <param name="Clock">What the device's clock showed when it sent them, if it said so.</param>
/// <param name="Rows">The rows.</param>
public sealed record Delivery(DeliveryWay Way, string? Clock, IReadOnlyList<RowText> Rows)
{
    /// <summary>Most rows of one delivery.</summary>
    public const int MostRows = 10_000;
}

/// <summary>What became of a row.</summary>
public enum RowStatus
{
    /// <summary>It is in the record, and stays there.</summary>
    Kept,

    /// <summary>It was in the record already.</summary>
    AlreadyThere,

    /// <summary>It is not in the record; it lies with its reason among the refused rows.</summary>
    Refused,
}

/// <summary>What became of a row.</summary>
/// <param name="Row">Its number in the delivery, from 1.</param>
/// <param name="Status">What became of it.</param>
/// <param name="At">Its instant by the clock of this program; nothing when it was refused.</param>
/// <param name="Problems">Why it was refused.</param>
public sealed record RowAnswer(
    int Row,
    RowStatus Status,
    DateTimeOffset? At,
    IReadOnlyList<InputProblem> Problems
);

/// <summary>Numbers of a device's sequence that have not come.</summary>
public sealed record MissingRows(int Boot, long From, long To);

/// <summary>What became of a delivery. It is given only once everything in it is on the disk.</summary>
/// <param name="ReceivedAt">When it came.</param>
/// <param name="Correction">What was added to the device's clock.</param>
/// <param name="Rows">Row by row.</param>
/// <param name="Missing">Gaps that this delivery showed.</param>
public sealed record DeliveryAnswer(
    DateTimeOffset ReceivedAt,
    TimeSpan Correction,
    IReadOnlyList<RowAnswer> Rows,
    IReadOnlyList<MissingRows> Missing
)
{
    public int Count(RowStatus status) => Rows.Count(r => r.Status == status);
}
