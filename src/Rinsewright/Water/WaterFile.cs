using System.Diagnostics.CodeAnalysis;
using System.Globalization;
using System.Text.Json;
using Rinsewright.Quantities;

namespace Rinsewright.Water;

/// <summary>
/// Reads the JSON text of a water file (docs/formats/water.md). Comments and trailing commas are allowed, every
/// property may be left out, and all problems are returned together.
/// </summary>
public static class WaterFile
{
    private const double LeastFactor = 0.3;
    private const double GreatestFactor = 1.0;
    private const double SodiumChlorideFactor = 0.5;

    private static readonly (string Name, Component Component, Analyte Analyte)[] Ions =
    [
        ("calcium", Component.Calcium, Analyte.Calcium),
        ("magnesium", Component.Magnesium, Analyte.Magnesium),
        ("sodium", Component.Sodium, Analyte.Sodium),
        ("potassium", Component.Potassium, Analyte.Potassium),
        ("ammonium", Component.Ammonium, Analyte.Ammonium),
        ("iron", Component.Iron, Analyte.Iron),
        ("manganese", Component.Manganese, Analyte.Manganese),
        ("strontium", Component.Strontium, Analyte.Strontium),
        ("barium", Component.Barium, Analyte.Barium),
        ("chloride", Component.Chloride, Analyte.Chloride),
        ("sulfate", Component.Sulfate, Analyte.Sulfate),
        ("nitrate", Component.Nitrate, Analyte.Nitrate),
        ("fluoride", Component.Fluoride, Analyte.Fluoride),
        ("phosphate", Component.Phosphate, Analyte.Phosphate),
        ("silica", Component.Silica, Analyte.Silica),
    ];

    private static readonly string[] Others =
    [
        "$schema",
        "name",
        "temperature",
        "pH",
        "alkalinity",
        "bicarbonate",
        "carbonDioxide",
        "hardness",
        "freeChlorine",
        "combinedChlorine",
        "conductivity",
        "tds",
    ];

    /// <summary>The properties that a water file may have.</summary>
    public static IReadOnlyList<string> PropertyNames { get; } = [.. Ions.Select(i => i.Name), .. Others];

    /// <summary>Reads the text of a water file.</summary>
    /// <param name="json">The text.</param>
    /// <param name="analysis">What it says.</param>
    /// <param name="problems">Everything wrong with it; empty exactly when it is right.</param>
    /// <param name="remarks">What was read by custom because the text leaves it open.</param>
    public static bool TryRead(
        string json,
        [NotNullWhen(true)] out WaterAnalysis? analysis,
        out IReadOnlyList<InputProblem> problems,
        out IReadOnlyList<string> remarks
    )
    {
        try
        {
            using var document = JsonDocument.Parse(
                json,
                new JsonDocumentOptions
                {
                    CommentHandling = JsonCommentHandling.Skip,
                    AllowTrailingCommas = true,
                }
            );
            return TryRead(document.RootElement, out analysis, out problems, out remarks);
        }
        catch (JsonException error)
        {
            string line = string.Create(
                CultureInfo.InvariantCulture,
                $"line {error.LineNumber + 1}, byte {error.BytePositionInLine + 1}"
            );
            analysis = null;
            problems =
            [
                new InputProblem(
                    line,
                    Excerpt(json, error.LineNumber),
                    "JSON text, see docs/formats/water.md"
                ),
            ];
            remarks = [];
            return false;
        }
    }

    /// <summary>Reads the root of a water file.</summary>
    /// <param name="root">The root element.</param>
    /// <param name="analysis">What it says.</param>
    /// <param name="problems">Everything wrong with it; empty exactly when it is right.</param>
    /// <param name="remarks">What was read by custom because the text leaves it open.</param>
    public static bool TryRead(
        JsonElement root,
        [NotNullWhen(true)] out WaterAnalysis? analysis,
        out IReadOnlyList<InputProblem> problems,
        out IReadOnlyList<string> remarks
    )
    {
        var reader = new Reader();
        analysis = reader.Read(root);
        problems = reader.Problems;
        remarks = reader.Remarks;
        if (problems.Count > 0)
        {
            analysis = null;
        }

        return analysis is not null;
    }

    private static string Excerpt(string json, long? line)
    {
        string[] lines = json.Split('\n');
        string text = line is { } number && number < lines.Length ? lines[number].Trim() : "";
        return text.Length > 60 ? text[..60] + "…" : text;
    }

    /// <summary>One pass over a document; collects problems.</summary>
    private sealed class Reader
    {
        public List<InputProblem> Problems { get; } = [];

        public List<string> Remarks { get; } = [];

        public WaterAnalysis? Read(JsonElement root)
        {
            if (root.ValueKind is not JsonValueKind.Object)
            {
                Problems.Add(new InputProblem("water", root.ValueKind.ToString(), "one object { … }"));
                return null;
            }

            var properties = new Dictionary<string, JsonElement>(StringComparer.Ordinal);
            foreach (JsonProperty property in root.EnumerateObject())
            {
                if (!PropertyNames.Contains(property.Name, StringComparer.Ordinal))
                {
                    string nearest = Spelling.Nearest(property.Name, PropertyNames);
                    Problems.Add(
                        new InputProblem(property.Name, "unknown property", $"perhaps \"{nearest}\"")
                    );
                }
                else if (!properties.TryAdd(property.Name, property.Value))
                {
                    Problems.Add(new InputProblem(property.Name, "stated twice", "each property once"));
                }
            }

            if (properties.ContainsKey("alkalinity") && properties.ContainsKey("bicarbonate"))
            {
                Remarks.Add("Both alkalinity and bicarbonate are stated: alkalinity is used.");
            }

            var totals = new Dictionary<Component, Stated<MolarConcentration>>();
            foreach ((string name, Component component, Analyte analyte) in Ions)
            {
                if (Concentration(properties, name, analyte) is { } stated)
                {
                    totals[component] = stated;
                }
            }

            Stated<EquivalentConcentration>? alkalinity = Equivalents(
                properties,
                "alkalinity",
                Analyte.Alkalinity
            );
            Stated<EquivalentConcentration>? bicarbonate = Equivalents(
                properties,
                "bicarbonate",
                Analyte.Bicarbonate
            );
            return new WaterAnalysis
            {
                Name = Text(properties, "name"),
                Temperature = Temperature(properties),
                PH = PH(properties),
                Totals = totals,
                Alkalinity = alkalinity ?? bicarbonate,
                CarbonDioxide = Concentration(properties, "carbonDioxide", Analyte.CarbonDioxide),
                Hardness = Equivalents(properties, "hardness", Analyte.Hardness),
                FreeChlorine = Concentration(properties, "freeChlorine", Analyte.FreeChlorine),
                CombinedChlorine = Concentration(properties, "combinedChlorine", Analyte.CombinedChlorine),
                Conductivity = Quantity<SpecificConductance>(properties, "conductivity"),
                Tds = Tds(properties),
            };
        }

        private string? Text(Dictionary<string, JsonElement> properties, string name)
        {
            if (!properties.TryGetValue(name, out JsonElement value))
            {
                return null;
            }

            if (value.ValueKind is JsonValueKind.String)
            {
                return value.GetString();
            }

            Problems.Add(
                new InputProblem(
                    name,
                    value.GetRawText(),
                    "a text in quotation marks, with its unit if it has one"
                )
            );
            return null;
        }

        private Stated<MolarConcentration>? Concentration(
            Dictionary<string, JsonElement> properties,
            string name,
            Analyte analyte
        )
        {
            if (Text(properties, name) is not { } text)
            {
                return null;
            }

            if (
                QuantityText.TryParseConcentration(
                    name,
                    text,
                    analyte,
                    out Stated<MolarConcentration> stated,
                    out InputProblem? problem
                )
            )
            {
                if (analyte.HasOtherCustomaryBasis && !QuantityText.NamesBasis(text, analyte))
                {
                    Remarks.Add(
                        $"{analyte.Name} \"{text}\" is read as {analyte.DefaultBasis}; write \"as {analyte.Bases[1]}\" if the report means that."
                    );
                }

                return stated;
            }

            Problems.Add(problem);
            return null;
        }

        private Stated<EquivalentConcentration>? Equivalents(
            Dictionary<string, JsonElement> properties,
            string name,
            Analyte analyte
        )
        {
            double z = analyte.EquivalentsPerMole!.Value;
            return Concentration(properties, name, analyte)?.Select(m => m.ToEquivalents(z), z);
        }

        private Stated<T>? Quantity<T>(Dictionary<string, JsonElement> properties, string name)
            where T : struct, IQuantity<T>
        {
            if (Text(properties, name) is not { } text)
            {
                return null;
            }

            if (QuantityText.TryParse(name, text, out Stated<T> stated, out InputProblem? problem))
            {
                return stated;
            }

            Problems.Add(problem);
            return null;
        }

        private Stated<Temperature>? Temperature(Dictionary<string, JsonElement> properties)
        {
            Stated<Temperature>? stated = Quantity<Temperature>(properties, "temperature");
            if (
                stated is { } t
                && (
                    t.Kind is StatementKind.Below
                    || t.Low.DegreesCelsius < -1e-9
                    || t.High.DegreesCelsius > 45 + 1e-9
                )
            )
            {
                Problems.Add(
                    new InputProblem(
                        "temperature",
                        Text(properties, "temperature")!,
                        "a water temperature from 0 to 45 °C (32 to 113 °F)"
                    )
                );
                return null;
            }

            return stated;
        }

        private Stated<double>? PH(Dictionary<string, JsonElement> properties)
        {
            if (!properties.TryGetValue("pH", out JsonElement value))
            {
                return null;
            }

            string text = value.ValueKind is JsonValueKind.String ? value.GetString()! : value.GetRawText();
            if (
                QuantityText.TryParseNumber(
                    "pH",
                    text,
                    0,
                    14,
                    out Stated<double> stated,
                    out InputProblem? problem
                )
            )
            {
                return stated;
            }

            Problems.Add(problem);
            return null;
        }

        private TdsReading? Tds(Dictionary<string, JsonElement> properties)
        {
            if (!properties.TryGetValue("tds", out JsonElement value))
            {
                return null;
            }

            const string Expected = "{ \"reading\": \"231 ppm\", \"factor\": 0.5 }";
            if (value.ValueKind is not JsonValueKind.Object)
            {
                Problems.Add(new InputProblem("tds", value.GetRawText(), Expected));
                return null;
            }

            Stated<MassConcentration>? reading = null;
            double factor = SodiumChlorideFactor;
            bool hasFactor = false;
            foreach (JsonProperty property in value.EnumerateObject())
            {
                string place = $"tds.{property.Name}";
                string text =
                    property.Value.ValueKind is JsonValueKind.String
                        ? property.Value.GetString()!
                        : property.Value.GetRawText();
                switch (property.Name)
                {
                    case "reading"
                        when QuantityText.TryParse(
                            place,
                            text,
                            out Stated<MassConcentration> stated,
                            out InputProblem? problem
                        ):
                        reading = stated;
                        break;
                    case "reading":
                        _ = QuantityText.TryParse(
                            place,
                            text,
                            out Stated<MassConcentration> _,
                            out InputProblem? bad
                        );
                        Problems.Add(bad!);
                        break;
                    case "factor":
                        hasFactor = true;
                        if (
                            !QuantityText.TryParseNumber(
                                place,
                                text,
                                LeastFactor,
                                GreatestFactor,
                                out Stated<double> number,
                                out InputProblem? wrong
                            )
                        )
                        {
                            Problems.Add(wrong);
                        }
                        else if (number.Kind is not StatementKind.Exactly)
                        {
                            Problems.Add(new InputProblem(place, text, "one number"));
                        }
                        else
                        {
                            factor = number.High;
                        }

                        break;
                    default:
                        string nearest = Spelling.Nearest(property.Name, ["reading", "factor"]);
                        Problems.Add(new InputProblem(place, "unknown property", $"perhaps \"{nearest}\""));
                        break;
                }
            }

            if (!hasFactor)
            {
                Remarks.Add("The pocket meter's factor is not stated: 0.5 (sodium chloride type) is taken.");
            }

            if (reading is null)
            {
                if (!value.TryGetProperty("reading", out _))
                {
                    Problems.Add(new InputProblem("tds", value.GetRawText(), Expected));
                }

                return null;
            }

            return new TdsReading(reading.Value, factor);
        }
    }
}
