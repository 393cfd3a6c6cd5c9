using System.Text.Json;

namespace Rinsewright.App.Tests.Handouts;

/// <summary>The JSON Schemas of docs/formats, as far as they list the members of an answer.</summary>
internal static class Schema
{
    /// <summary>The answer has exactly the members that the schema lists, in its order.</summary>
    public static void AssertListed(string schema, JsonElement answer)
    {
        using JsonDocument document = JsonDocument.Parse(
            File.ReadAllText(Path.Combine(Repository.Root, "docs", "formats", schema))
        );
        AssertMembers(document.RootElement, document.RootElement, answer);
    }

    private static void AssertMembers(JsonElement root, JsonElement schema, JsonElement answer)
    {
        if (schema.TryGetProperty("$ref", out JsonElement reference))
        {
            string name = reference.GetString()!.Split('/')[^1];
            schema = root.GetProperty("$defs").GetProperty(name);
        }

        if (answer.ValueKind is JsonValueKind.Array && schema.TryGetProperty("items", out JsonElement items))
        {
            Assert.All(answer.EnumerateArray(), item => AssertMembers(root, items, item));
        }
        else if (
            answer.ValueKind is JsonValueKind.Object
            && schema.TryGetProperty("properties", out JsonElement listed)
        )
        {
            Assert.Equal(
                listed.EnumerateObject().Select(p => p.Name),
                answer.EnumerateObject().Select(p => p.Name),
                StringComparer.Ordinal
            );
            foreach (JsonProperty member in answer.EnumerateObject())
            {
                AssertMembers(root, listed.GetProperty(member.Name), member.Value);
            }
        }
    }
}
