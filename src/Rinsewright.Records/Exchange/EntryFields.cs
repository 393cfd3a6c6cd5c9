using System.Globalization;
using System.Reflection;
using System.Runtime.CompilerServices;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Exchange;

/// <summary>
/// Makes and changes entries of any kind from texts as people write them: a field by its name in the JSON (with or without
/// its unit), a quantity with its unit or in SI, another entry by its name or id.
/// </summary>
public sealed class EntryFields
{
    private static readonly string[] NotContent =
    [
        nameof(Entry.Version),
        nameof(Entry.EditNumber),
        nameof(Entry.IsDeleted),
        nameof(Entry.Key),
        "Id",
    ];

    private readonly LogbookContext _context;
    private readonly LogbookStore _store;

    /// <summary>Looks names up in <paramref name="context"/>, a view of <paramref name="store"/>.</summary>
    public EntryFields(LogbookStore store, LogbookContext context)
    {
        _store = store;
        _context = context;
    }

    /// <summary>The fields of a kind by their names in the JSON.</summary>
    public static IReadOnlyList<string> NamesOf(EntryKind kind) =>
        [.. Content(kind).Select(p => ColumnName.Of(p.Name))];

    /// <summary>A new entry; an instant that is left out is now.</summary>
    public Task<Entry?> MakeAsync(
        EntryKind kind,
        IReadOnlyList<(string Field, string Text)> fields,
        ProblemList problems,
        CancellationToken cancel
    ) =>
        SetAsync(
            kind,
            new JsonObject { ["id"] = _store.Ids.Next().ToString() },
            fields,
            isNew: true,
            problems,
            cancel
        );

    /// <summary>The next version of an entry.</summary>
    public Task<Entry?> ChangeAsync(
        Entry entry,
        IReadOnlyList<(string Field, string Text)> fields,
        ProblemList problems,
        CancellationToken cancel
    ) =>
        SetAsync(
            EntryKind.Of(entry),
            JsonNode.Parse(EntryKind.Of(entry).ToJson(entry))!.AsObject(),
            fields,
            isNew: false,
            problems,
            cancel
        );

    private static IEnumerable<PropertyInfo> Content(EntryKind kind) =>
        kind
            .Type.GetProperties()
            .Where(p => p.CanWrite && !NotContent.Contains(p.Name, StringComparer.Ordinal));

    private async Task<Entry?> SetAsync(
        EntryKind kind,
        JsonObject json,
        IReadOnlyList<(string Field, string Text)> fields,
        bool isNew,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        int before = problems.Problems.Count;
        var given = new List<(PropertyInfo Property, string Text)>();
        foreach ((string field, string text) in fields)
        {
            PropertyInfo? property = Find(kind, field);
            if (property is null)
            {
                problems.Add(field, text, $"a field of a {kind.Name}: {string.Join(", ", NamesOf(kind))}");
                continue;
            }

            given.Add((property, text));
        }

        // What a value is measured in depends on the entries that it belongs to, so these come first.
        foreach ((PropertyInfo property, string text) in given.OrderBy(g => IsValue(g.Property)))
        {
            await SetAsync(kind, json, property, text, problems, cancel);
        }

        if (problems.Problems.Count > before)
        {
            return null;
        }

        foreach (
            PropertyInfo property in Content(kind)
                .Where(p => isNew && !json.ContainsKey(ColumnName.Of(p.Name)))
        )
        {
            if (property.PropertyType == typeof(DateTimeOffset))
            {
                json[ColumnName.Of(property.Name)] = JsonSerializer.SerializeToNode(
                    Instant.Now(_store.Clock),
                    EntryJson.Options
                );
            }
            else if (property.GetCustomAttribute<RequiredMemberAttribute>() is not null)
            {
                problems.Add(
                    new InputProblem(
                        ColumnName.Of(property.Name),
                        Sentence.Of("nothing"),
                        $"it: a {kind.Name} needs one"
                    )
                );
            }
        }

        return problems.Problems.Count > before ? null : kind.FromJson(json.ToJsonString());
    }

    private static PropertyInfo? Find(EntryKind kind, string field)
    {
        string wanted = field.Trim().Replace(' ', '_').Replace('-', '_');
        PropertyInfo[] all = [.. Content(kind)];
        return all.FirstOrDefault(p => Is(ColumnName.Of(p.Name)))
            ?? all.FirstOrDefault(p => Is(ColumnName.Of(p.Name.Split('_')[0])))
            ?? all.FirstOrDefault(p =>
                p.Name.StartsWith("Is", StringComparison.Ordinal) && Is(ColumnName.Of(p.Name[2..]))
            )
            ?? all.FirstOrDefault(p =>
                Reference(p) is not null && Is(ColumnName.Of(p.Name)[..^"_id".Length])
            );

        bool Is(string name) => string.Equals(name, wanted, StringComparison.OrdinalIgnoreCase);
    }

    private async Task SetAsync(
        EntryKind kind,
        JsonObject json,
        PropertyInfo property,
        string text,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        string name = ColumnName.Of(property.Name);
        Type type = Nullable.GetUnderlyingType(property.PropertyType) ?? property.PropertyType;
        if (text.Length == 0)
        {
            bool mayBeEmpty =
                new NullabilityInfoContext().Create(property).WriteState is NullabilityState.Nullable;
            problems.Require(mayBeEmpty, name, $"nothing", $"it: a {kind.Name} needs one");
            json[name] = null;
        }
        else if (Reference(property) is { } ofKind)
        {
            string? rig = json["rig_id"]?.GetValue<string>();
            json[name] = (await FindAsync(ofKind, text, rig, name, problems, cancel))?.Key.ToString();
        }
        else if (type == typeof(double))
        {
            await SetNumberAsync(kind, json, property, text, problems, cancel);
        }
        else if (type == typeof(DateTimeOffset))
        {
            TimeZoneInfo zone = await ZoneAsync(json, cancel);
            if (InstantText.TryParse(Encoding.UTF8.GetBytes(text), null, zone, out DateTimeOffset at))
            {
                json[name] = JsonSerializer.SerializeToNode(at, EntryJson.Options);
            }
            else
            {
                problems.Add(name, text, "a date and time such as \"2026-03-31 14:05\"");
            }
        }
        else
        {
            JsonNode? value = Plain(type, text);
            json[name] = value;
            problems.Require(value is not null, name, $"{text}", Expected(type));
        }
    }

    /// <summary>Text, whole numbers, money, days, yes or no and words of an enumeration.</summary>
    private static JsonNode? Plain(Type type, string text)
    {
        if (type == typeof(string))
        {
            return JsonValue.Create(text);
        }

        if (type.IsEnum)
        {
            string? word = Words(type)
                .Find(w => string.Equals(w, text.Replace(' ', '_'), StringComparison.OrdinalIgnoreCase));
            return word is null ? null : JsonValue.Create(word);
        }

        if (type == typeof(bool))
        {
            return text.ToLowerInvariant() switch
            {
                "yes" or "true" => JsonValue.Create(true),
                "no" or "false" => JsonValue.Create(false),
                _ => null,
            };
        }

        if (type == typeof(double?[]))
        {
            return Numbers(text);
        }

        CultureInfo plain = CultureInfo.InvariantCulture;
        return type == typeof(int) && int.TryParse(text, NumberStyles.AllowLeadingSign, plain, out int whole)
                ? JsonValue.Create(whole)
            : type == typeof(decimal)
            && decimal.TryParse(text, NumberStyles.AllowDecimalPoint, plain, out decimal money)
                ? JsonValue.Create(money)
            : type == typeof(DateOnly)
            && DateOnly.TryParseExact(text, "yyyy-MM-dd", plain, DateTimeStyles.None, out DateOnly day)
                ? JsonSerializer.SerializeToNode(day, EntryJson.Options)
            : null;
    }

    /// <summary>An array as it stands in the JSON; nothing for anything else.</summary>
    private static JsonNode? Numbers(string text)
    {
        try
        {
            return JsonSerializer.SerializeToNode(JsonSerializer.Deserialize<double?[]>(text));
        }
        catch (JsonException)
        {
            return null;
        }
    }

    private static Sentence Expected(Type type) =>
        type.IsEnum ? Sentence.Written(string.Join(", ", Words(type)))
        : type == typeof(bool) ? Sentence.Of("yes or no")
        : type == typeof(DateOnly) ? Sentence.Of("a date such as 2028-06-30")
        : type == typeof(byte[]) ? Sentence.Of("a picture, which 'log photo' takes in")
        : type == typeof(double?[]) ? Sentence.Of("numbers such as [1, 2.5, null]")
        : Sentence.Of("a number");

    private static List<string> Words(Type type) => [.. Enum.GetNames(type).Select(ColumnName.Of)];

    private async Task SetNumberAsync(
        EntryKind kind,
        JsonObject json,
        PropertyInfo property,
        string text,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        string name = ColumnName.Of(property.Name);
        int mark = property.Name.IndexOf('_', StringComparison.Ordinal);
        string unit = mark < 0 ? "" : property.Name[(mark + 1)..];
        if (unit is "SI" && await MeasurandAsync(json, cancel) is { } measurand)
        {
            if (
                !MeasurandText.TryParse(
                    name,
                    measurand,
                    text,
                    out WrittenValue? value,
                    out InputProblem? problem
                )
            )
            {
                problems.Add(problem);
                return;
            }

            json[name] = value.Value_SI;
            string first = property.Name[..mark];
            bool isTheValue =
                kind.Type.GetProperty(first is "Value" ? "Written" : first + "Written") is not null;
            if (isTheValue)
            {
                json[first is "Value" ? "written" : ColumnName.Of(first + "Written")] = value.Written;
                json["unit"] = value.Unit;
            }

            if (kind.Type.GetProperty(nameof(Reading.IsBelowLimit)) is not null)
            {
                json["is_below_limit"] = value.IsBelowLimit;
            }

            return;
        }

        if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double number))
        {
            text = $"{text.Trim()} {unit.Replace('_', '/')}".TrimEnd();
        }
        else if (QuantityOf(unit, name, text, out InputProblem? problem) is { } quantity)
        {
            number = quantity;
        }
        else
        {
            problems.Add(name, text, problem?.Expected ?? Sentence.Of("a number"));
            return;
        }

        if (!double.IsFinite(number))
        {
            problems.Add(name, text, "a finite number");
            return;
        }

        json[name] = number;
        if (mark > 0 && kind.Type.GetProperty(property.Name[..mark] + "Written") is { } written)
        {
            json[ColumnName.Of(written.Name)] = text;
        }
    }

    private static double? QuantityOf(string unit, string place, string text, out InputProblem? problem)
    {
        problem = null;
        return unit switch
        {
            "m3" => Read<Volume>(out problem),
            "m3_s" => Read<VolumeFlow>(out problem),
            "K" => Read<Temperature>(out problem),
            "Pa" => Read<Pressure>(out problem),
            "S_m" => Read<SpecificConductance>(out problem),
            _ => null,
        };

        double? Read<T>(out InputProblem? wrong)
            where T : struct, IQuantity<T> =>
            QuantityText.TryParseExactly(place, text, out T value, out wrong) ? value.SI : null;
    }

    /// <summary>What values of this entry are measured in: its own measurand, or that of its meter.</summary>
    private async Task<Measurand?> MeasurandAsync(JsonObject json, CancellationToken cancel)
    {
        if (json["measurand"]?.GetValue<string>() is { } word)
        {
            return Enum.GetValues<Measurand>()
                .First(m => string.Equals(ColumnName.Of(m.ToString()), word, StringComparison.Ordinal));
        }

        return json["meter_id"]?.GetValue<string>() is { } meter
            ? (await _context.FindAsync<Meter>([new Id<Meter>(Guid.Parse(meter))], cancel))?.Measurand
            : null;
    }

    private async Task<TimeZoneInfo> ZoneAsync(JsonObject json, CancellationToken cancel)
    {
        return
            json["rig_id"]?.GetValue<string>() is { } rig
            && await _context.FindAsync<Rig>([new Id<Rig>(Guid.Parse(rig))], cancel) is { } found
            && TimeZoneInfo.TryFindSystemTimeZoneById(found.TimeZone, out TimeZoneInfo? zone)
            ? zone
            : TimeZoneInfo.Utc;
    }

    /// <summary>The entry with an id, or the only one of its kind with a name; a deleted one is found by its id.</summary>
    public Task<Entry?> FindAsync(
        EntryKind kind,
        string text,
        string place,
        ProblemList problems,
        CancellationToken cancel
    ) => FindAsync(kind, text, rig: null, place, problems, cancel);

    private async Task<Entry?> FindAsync(
        EntryKind kind,
        string text,
        string? rig,
        string place,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        if (Guid.TryParse(text, out Guid key) && await kind.FindAsync(_context, key, cancel) is { } byId)
        {
            return byId;
        }

        var found = new List<Entry>();
        await foreach (Entry entry in kind.AllByKey(_context).WithCancellation(cancel))
        {
            // A stage is one of the rig that was named.
            bool isOfRig =
                rig is null
                || entry is not Stage stage
                || string.Equals(rig, $"{stage.RigId}", StringComparison.Ordinal);
            if (
                isOfRig
                && !entry.IsDeleted
                && string.Equals(NameOf(entry), text, StringComparison.OrdinalIgnoreCase)
            )
            {
                found.Add(entry);
            }
        }

        if (found is [var only])
        {
            return only;
        }

        problems.Add(
            place,
            text,
            found.Count == 0
                ? Sentence.Of($"the name or id of a {kind.Name.Replace('_', ' ')} of the record")
                : Sentence.Of("its id: several have that name")
        );
        return null;
    }

    /// <summary>Whether entries of a kind have names.</summary>
    internal static bool HasName(EntryKind kind) => NameProperty(kind.Type) is not null;

    /// <summary>What people call an entry; nothing for kinds without names.</summary>
    internal static string? NameOf(Entry entry) => NameProperty(entry.GetType())?.GetValue(entry) as string;

    private static PropertyInfo? NameProperty(Type type) =>
        type.GetProperty("Name") ?? type.GetProperty("What");

    private static EntryKind? Reference(PropertyInfo property)
    {
        Type type = Nullable.GetUnderlyingType(property.PropertyType) ?? property.PropertyType;
        return type.IsGenericType && type.GetGenericTypeDefinition() == typeof(Id<>)
            ? EntryKind.All.First(k => k.Type == type.GetGenericArguments()[0])
            : null;
    }

    private static int IsValue(PropertyInfo property) =>
        property.Name is "RigId" ? 0
        : Reference(property) is not null ? 1
        : property.PropertyType == typeof(Measurand) ? 2
        : 3;
}
