using System.Text.Json.Nodes;
using Rinsewright.Web.Logging;

namespace Rinsewright.Web.Api;

/// <summary>One example of each thing that goes in or out.</summary>
internal static class ApiExamples
{
    public static JsonNode? Of(Type type) =>
        type == typeof(LogRequest)
            ? JsonNode.Parse(
                """{ "kind": "reading", "stage": "01966f4e-5e00-7000-8000-000000000001", "what": "tds", "value": "3 ppm", "temperature": "12 °C", "by": "Mira" }"""
            )
        : type == typeof(Range) ? JsonNode.Parse("""{ "low": 910, "median": 1170, "high": 1480 }""")
        : type == typeof(EditAnswer)
            ? JsonNode.Parse(
                """{ "edit": 412, "at": "2027-03-31T14:05:00+00:00", "author": "Mira", "reason": "", "undoes": null }"""
            )
        : null;
}
