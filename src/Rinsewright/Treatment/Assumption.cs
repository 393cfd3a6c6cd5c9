using System.Collections.Frozen;
using System.Text.Json;

namespace Rinsewright.Treatment;

/// <summary>A default of a stage: its value, what is seen in practice, and where it comes from.</summary>
/// <param name="Id">Its name in the parameter file.</param>
/// <param name="Value">The value used unless the user sets another, in <paramref name="Unit"/>.</param>
/// <param name="Low">About the least that is seen, in <paramref name="Unit"/>.</param>
/// <param name="High">About the most that is seen, in <paramref name="Unit"/>.</param>
/// <param name="Unit">Unit of the three.</param>
/// <param name="Source">Key in docs/references.bib, or "common practice, no source".</param>
/// <param name="Remark">Anything to know about it.</param>
public sealed record Assumption(
    string Id,
    double Value,
    double Low,
    double High,
    string Unit,
    string Source,
    string Remark
)
{
    /// <summary>Reads the values of a parameter file by their names.</summary>
    internal static FrozenDictionary<string, Assumption> ReadAll(string fileName) =>
        ParameterFile.Read(
            fileName,
            root =>
                root.GetProperty("values")
                    .EnumerateArray()
                    .Select(One)
                    .ToFrozenDictionary(a => a.Id, StringComparer.Ordinal)
        );

    private static Assumption One(JsonElement item) =>
        new(
            item.GetProperty("id").GetString()!,
            item.GetProperty("value").GetDouble(),
            item.GetProperty("low").GetDouble(),
            item.GetProperty("high").GetDouble(),
            item.GetProperty("unit").GetString()!,
            item.GetProperty("source").GetString()!,
            item.TryGetProperty("note", out JsonElement note) ? note.GetString()! : ""
        );
}
