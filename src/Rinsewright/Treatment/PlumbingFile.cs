using System.Text.Json;
using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>Reads the plumbing of a rig file (docs/formats/rig.md).</summary>
internal static class PlumbingFile
{
    private const double UsualRoughness_mm = 0.0015; // drawn tube and plastics, crane_tp410
    private const double UsualDischarge = 0.95; // a smooth cone
    private const double MostMinorLoss = 1000.0;

    private static readonly string[] Elements = ["pipe", "hose", "fitting"];
    private static readonly string[] Tools = ["nozzle", "opening", "pressure-washer"];

    /// <summary>Reads the plumbing, or adds its problems and returns nothing.</summary>
    public static Plumbing? Read(JsonReading plumbing, List<InputProblem> problems)
    {
        int before = problems.Count;
        Pressure supply = plumbing.AboveZero<Pressure>("supply");
        VolumeFlow? open = plumbing.Has("openFlow") ? plumbing.AboveZero<VolumeFlow>("openFlow") : null;
        FlowElement?[] upstream =
        [
            .. plumbing.Items("before").Select(i => Element(i.Element, i.Place, problems)),
        ];
        FlowElement?[] downstream =
        [
            .. plumbing.Items("after").Select(i => Element(i.Element, i.Place, problems)),
        ];
        Tool?[] tools = [.. plumbing.Items("tools").Select(i => Tool(i.Element, i.Place, problems))];
        if (tools.Length == 0 && problems.Count == before)
        {
            plumbing.Refuse("tools", "at least one tool, see docs/formats/rig.md");
        }

        Pressure? housing = plumbing.Has("housingPressure")
            ? plumbing.AboveZero<Pressure>("housingPressure")
            : null;
        Temperature? hottest = plumbing.Has("housingTemperature")
            ? plumbing.Quantity<Temperature>("housingTemperature")
            : null;
        return problems.Count > before
            ? null
            : new Plumbing(
                new WaterSupply(supply, open),
                [.. upstream.Select(e => e!)],
                [.. downstream.Select(e => e!)],
                [.. tools.Select(t => t!)]
            )
            {
                HousingPressure = housing,
                HousingTemperature = hottest,
            };
    }

    private static FlowElement? Element(JsonElement element, string place, List<InputProblem> problems)
    {
        int before = problems.Count;
        bool fitting =
            element.ValueKind == JsonValueKind.Object
            && element.TryGetProperty("kind", out JsonElement value)
            && value.ValueKind == JsonValueKind.String
            && value.ValueEquals("fitting");
        string[] common = ["kind", "name", "rise", "fall", "ratedPressure", "ratedTemperature"];
        string[] own = fitting
            ? ["lossFlow", "loss", "exponent"]
            : ["innerDiameter", "length", "roughness", "minorLoss"];
        var reading = new JsonReading(element, place, problems, [.. common, .. own]);
        string kind = Kind(reading, Elements);
        string name = reading.Text("name", kind);
        FlowElement? found =
            problems.Count > before ? null
            : fitting
                ? new MeasuredLoss(
                    name,
                    reading.AboveZero<VolumeFlow>("lossFlow"),
                    reading.AboveZero<Pressure>("loss"),
                    reading.Number("exponent", 1.0, 2.0, 2.0)
                )
            : Conduit(name, reading);
        Length none = Length.FromMeters(0.0);
        double rise_m =
            reading.Quantity<Length>("rise", none).Meters - reading.Quantity<Length>("fall", none).Meters;
        Pressure? pressure = reading.Has("ratedPressure")
            ? reading.AboveZero<Pressure>("ratedPressure")
            : null;
        Temperature? temperature = reading.Has("ratedTemperature")
            ? reading.Quantity<Temperature>("ratedTemperature")
            : null;
        return problems.Count > before || found is null
            ? null
            : found with
            {
                Rise_m = rise_m,
                RatedPressure = pressure,
                RatedTemperature = temperature,
            };
    }

    private static Conduit Conduit(string name, JsonReading reading)
    {
        Length diameter = reading.AboveZero<Length>("innerDiameter");
        Length roughness = reading.AboveZero<Length>("roughness", Length.FromMillimeters(UsualRoughness_mm));
        if (diameter.Meters > 0.0 && roughness.Meters / diameter.Meters > PipeFriction.MostRelativeRoughness)
        {
            reading.Refuse("roughness", "at most a tenth of innerDiameter");
        }

        return new Conduit(
            name,
            diameter,
            reading.AboveZero<Length>("length"),
            roughness,
            reading.Number("minorLoss", 0.0, MostMinorLoss, 0.0)
        );
    }

    private static Tool? Tool(JsonElement element, string place, List<InputProblem> problems)
    {
        int before = problems.Count;
        var reading = new JsonReading(
            element,
            place,
            problems,
            "kind",
            "name",
            "flow",
            "pressure",
            "bore",
            "discharge"
        );
        string kind = Kind(reading, Tools);
        if (problems.Count > before)
        {
            return null;
        }

        string name = reading.Text("name", kind);
        Tool tool = kind switch
        {
            "nozzle" => new Nozzle(
                name,
                reading.AboveZero<VolumeFlow>("flow"),
                reading.AboveZero<Pressure>("pressure")
            ),
            "opening" => Treatment.Nozzle.FromBore(
                name,
                reading.AboveZero<Length>("bore"),
                reading.Number("discharge", 0.3, 1.0, UsualDischarge)
            ),
            _ => new PressureWasher(
                name,
                reading.AboveZero<VolumeFlow>("flow"),
                reading.Quantity<Pressure>("pressure")
            ),
        };
        return problems.Count > before ? null : tool;
    }

    private static string Kind(JsonReading reading, string[] words)
    {
        string kind = reading.Text("kind", "");
        if (!words.Contains(kind, StringComparer.Ordinal))
        {
            reading.Refuse("kind", $"one of {string.Join(", ", words)}");
        }

        return kind;
    }
}
