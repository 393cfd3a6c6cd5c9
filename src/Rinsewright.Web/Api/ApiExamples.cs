using System.Collections.Frozen;
using System.Text.Json.Nodes;
using Rinsewright.Web.Alarms;
using Rinsewright.Web.Devices;
using Rinsewright.Web.Fleet;
using Rinsewright.Web.Logging;
using Rinsewright.Web.Sharing;

namespace Rinsewright.Web.Api;

/// <summary>One example of each thing that goes in or out.</summary>
internal static class ApiExamples
{
    private const string SomeId = "01966f4e-5e00-7000-8000-000000000001";

    private static readonly FrozenDictionary<string, JsonNode> Parameters = new Dictionary<string, JsonNode>(
        StringComparer.Ordinal
    )
    {
        ["id"] = SomeId,
        ["number"] = 412,
        ["by"] = "Mira",
        ["days"] = 90,
        ["reading"] = "245 ppm",
        ["size"] = "housing-4.5x20",
        ["hardness"] = "9 °dH",
        ["factor"] = 0.5,
        ["temperature"] = "12 °C",
        ["flow"] = "8 L/min",
        ["volume"] = "10 L",
        ["line"] = "10 ppm",
        ["weekly"] = "150 L",
        ["air"] = "28 °C",
        ["humidity"] = "40",
        ["wind"] = "2 m/s",
        ["sun"] = "full",
        ["paint"] = "dark",
        ["film"] = "sheeting",
        ["washes"] = "3",
        ["rinse"] = "30 L",
        ["budget"] = "900",
        ["height"] = "1500 mm",
        ["resin"] = "9.50",
        ["waterPrice"] = "2.10",
        ["visit"] = "8.00",
        ["none"] = false,
        ["supply"] = "3.5 bar",
        ["openFlow"] = "26 L/min",
        ["hoseBefore"] = "5 m",
        ["hoseAfter"] = "15 m",
        ["bore"] = "12.7 mm",
        ["toolFlow"] = "8 L/min",
        ["toolPressure"] = "2 bar",
        ["format"] = "pdf",
        ["paper"] = "A4",
        ["from"] = "2027-01-01",
        ["to"] = "2027-03-01",
        ["hemisphere"] = "north",
        ["link"] = SomeId,
        ["alarm"] = SomeId,
        ["kind"] = "due",
        ["destination"] = SomeId,
        ["device"] = "Van probe",
        ["count"] = 50,
        ["clock"] = "2027-03-01T09:00:00Z",
        ["text"] = "Mill Lane",
        ["reason"] = "due_this_week",
        ["van"] = "North",
        ["due"] = 7,
        ["skip"] = 0,
        ["take"] = 50,
        ["Idempotency-Key"] = "01966f4e-5e00-7000-8000-00000000000a",
    }.ToFrozenDictionary(StringComparer.Ordinal);

    /// <summary>An example of a parameter by its name.</summary>
    public static JsonNode? Of(string parameter) => Parameters.GetValueOrDefault(parameter)?.DeepClone();

    /// <summary>A water file, where the body of a request is one.</summary>
    public static JsonNode WaterFile { get; } =
        JsonNode.Parse("""{ "tds": { "reading": "245 ppm" }, "hardness": "9 °dH", "silica": "8 mg/L" }""")!;

    /// <summary>A table that a device delivers.</summary>
    public const string Table =
        "kind,at,what,value,unit\nreading,2027-02-28T15:00:00Z,tds,3,ppm\nreading,2027-02-28T16:00:00Z,tds,4,ppm\n";

    public static JsonNode? Of(Type type) =>
        type == typeof(LogRequest)
            ? JsonNode.Parse(
                """{ "kind": "reading", "stage": "01966f4e-5e00-7000-8000-000000000001", "what": "tds", "value": "3 ppm", "temperature": "12 °C", "by": "Mira" }"""
            )
        : type == typeof(NewRig)
            ? JsonNode.Parse(
                """{ "name": "Garage", "reading": "150 ppm", "size": "tank-8x18", "time_zone": "Europe/Vienna" }"""
            )
        : type == typeof(NewTask)
            ? JsonNode.Parse(
                """{ "name": "last rinse", "volume": "30 L", "flow": "6 L/min", "times_per_week": 3, "by": "Mira" }"""
            )
        : type == typeof(RigPlace)
            ? JsonNode.Parse("""{ "site": "Mill Lane 3", "van": "North", "by": "Mira" }""")
        : type == typeof(NewPurchase)
            ? JsonNode.Parse(
                """{ "what": "mixed-bed resin", "kind": "medium", "amount": "179.00", "currency": "EUR", "volume": "25 L" }"""
            )
        : type == typeof(Acknowledgement) ? JsonNode.Parse("""{ "note": "resin is ordered", "by": "Mira" }""")
        : type == typeof(NewRule)
            ? JsonNode.Parse("""{ "kind": "due", "limit": 14, "urgent": false, "by": "Mira" }""")
        : type == typeof(NewDestination)
            ? JsonNode.Parse(
                """{ "name": "Mira", "route": "mail", "address": "mira@example.org", "quiet": "22:00-06:30", "urgent_breaks_through": true }"""
            )
        : type == typeof(NewLink)
            ? JsonNode.Parse(
                """{ "kind": "page", "name": "The workshop next door", "days": "30", "costs": false, "by": "Mira" }"""
            )
        : type == typeof(ReportedRow) || type == typeof(ReportedRowWithClock)
            ? JsonNode.Parse(
                """{ "kind": "reading", "at": "2027-02-28T14:05:00Z", "sequence": 17, "what": "tds", "value": "3 ppm", "temperature": "12 °C" }"""
            )
        : type == typeof(ReportedRows)
            ? JsonNode.Parse(
                """{ "clock": "2027-03-01T09:00:00Z", "rows": [{ "kind": "sample", "at": "2027-03-01T08:58:00Z", "sequence": 18, "what": "conductivity", "value": 3.1, "unit": "µS/cm", "flow": "8 L/min" }, { "kind": "sample", "at": "2027-03-01T08:59:00Z", "sequence": 19, "what": "conductivity", "value": 3.2, "unit": "µS/cm", "flow": "8 L/min" }] }"""
            )
        : type == typeof(Range) ? JsonNode.Parse("""{ "low": 910, "median": 1170, "high": 1480 }""")
        : type == typeof(EditAnswer)
            ? JsonNode.Parse(
                """{ "edit": 412, "at": "2027-03-31T14:05:00+00:00", "author": "Mira", "reason": "", "undoes": null }"""
            )
        : null;
}
