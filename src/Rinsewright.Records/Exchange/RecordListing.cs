using System.Text.Json;
using System.Text.Json.Nodes;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Exchange;

/// <summary>Lists entries of any kind and says in words what stands in them.</summary>
public sealed class RecordListing
{
    private const int LongestText = 60;
    private static readonly string[] NotShown = ["id", "version", "edit_number", "is_deleted"];
    private readonly LogbookContext _context;
    private readonly Dictionary<string, string> _names;

    private RecordListing(LogbookContext context, Dictionary<string, string> names)
    {
        _context = context;
        _names = names;
    }

    /// <summary>Learns the names of rigs, stages, meters and whatever else has one.</summary>
    public static async Task<RecordListing> LoadAsync(LogbookContext context, CancellationToken cancel)
    {
        var names = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (EntryKind kind in EntryKind.All.Where(k => EntryFields.HasName(k)))
        {
            await foreach (Entry entry in kind.AllByKey(context).WithCancellation(cancel))
            {
                names.Add(entry.Key.ToString(), EntryFields.NameOf(entry)!);
            }
        }

        return new RecordListing(context, names);
    }

    /// <summary>The last entries of a kind that are not deleted: by when they happened where they say it, else as they were written.</summary>
    public async Task<IReadOnlyList<Entry>> LatestAsync(
        EntryKind kind,
        Id<Rig>? rig,
        int count,
        CancellationToken cancel
    )
    {
        HashSet<string> ofRig = rig is { } id ? [id.ToString(), .. await StagesAsync(id, cancel)] : [];
        var found = new List<(string At, Entry Entry)>();
        await foreach (Entry entry in kind.AllByKey(_context).WithCancellation(cancel))
        {
            if (entry.IsDeleted)
            {
                continue;
            }

            JsonObject fields = Fields(entry);
            bool belongs =
                rig is null
                || (Text(fields, "rig_id") ?? Text(fields, "stage_id")) is { } owner && ofRig.Contains(owner);
            if (belongs)
            {
                found.Add((Text(fields, "at") ?? Text(fields, "put_in_at") ?? "", entry));
            }
        }

        return [.. found.OrderBy(f => f.At, StringComparer.Ordinal).TakeLast(count).Select(f => f.Entry)];
    }

    /// <summary>What stands in an entry, other entries by their names: field and text.</summary>
    public IEnumerable<(string Field, string Text)> Describe(Entry entry)
    {
        JsonObject fields = Fields(entry);
        foreach ((string field, JsonNode? value) in fields)
        {
            string? written = Text(fields, field.Split('_')[0] + "_written");
            if (
                value is null
                || NotShown.Contains(field, StringComparer.Ordinal)
                || field.EndsWith("_written", StringComparison.Ordinal)
            )
            {
                continue;
            }

            string text =
                value.GetValueKind() is JsonValueKind.String
                    ? value.GetValue<string>()
                    : value.ToJsonString();
            if (field.EndsWith("_id", StringComparison.Ordinal))
            {
                yield return (field[..^"_id".Length], _names.GetValueOrDefault(text, text));
            }
            else if (written is not null)
            {
                yield return (field.Split('_')[0], written);
            }
            else
            {
                yield return (field, text.Length > LongestText ? text[..LongestText] + "…" : text);
            }
        }
    }

    private async Task<IEnumerable<string>> StagesAsync(Id<Rig> rig, CancellationToken cancel) =>
        (
            await _context.Live<Stage>().Where(s => s.RigId == rig).Select(s => s.Id).ToListAsync(cancel)
        ).Select(s => s.ToString());

    private static JsonObject Fields(Entry entry) =>
        JsonNode.Parse(EntryKind.Of(entry).ToJson(entry))!.AsObject();

    private static string? Text(JsonObject fields, string field) =>
        fields[field] is { } value && value.GetValueKind() is JsonValueKind.String
            ? value.GetValue<string>()
            : null;
}
