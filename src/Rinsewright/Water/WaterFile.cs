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
        out IReadOnlyList<Sentence> remarks
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
        out IReadOnlyList<Sentence> remarks
    )
    {
        List<InputProblem> found = [];
        List<Sentence> said = [];
        analysis = Read(new JsonReading(root, "", found, [.. PropertyNames]), said, found);
        problems = found;
        remarks = said;
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
        return JsonReading.Short(text);
    }

    private static WaterAnalysis Read(JsonReading file, List<Sentence> remarks, List<InputProblem> problems)
    {
        if (file.Has("alkalinity") && file.Has("bicarbonate"))
        {
            remarks.Add(Sentence.Of("Both alkalinity and bicarbonate are stated: alkalinity is used."));
        }

        var totals = new Dictionary<Component, Stated<MolarConcentration>>();
        foreach ((string name, Component component, Analyte analyte) in Ions)
        {
            if (file.Concentration(name, analyte, remarks) is { } stated)
            {
                totals[component] = stated;
            }
        }

        Stated<EquivalentConcentration>? Equivalents(string name, Analyte analyte)
        {
            double z = analyte.EquivalentsPerMole!.Value;
            return file.Concentration(name, analyte, remarks)?.Select(m => m.ToEquivalents(z), z);
        }

        Stated<EquivalentConcentration>? alkalinity = Equivalents("alkalinity", Analyte.Alkalinity);
        Stated<EquivalentConcentration>? bicarbonate = Equivalents("bicarbonate", Analyte.Bicarbonate);
        return new WaterAnalysis
        {
            Name = file.Text("name"),
            Temperature = ReadTemperature(file),
            PH = file.StatedNumber("pH", 0, 14),
            Totals = totals,
            Alkalinity = alkalinity ?? bicarbonate,
            CarbonDioxide = file.Concentration("carbonDioxide", Analyte.CarbonDioxide, remarks),
            Hardness = Equivalents("hardness", Analyte.Hardness),
            FreeChlorine = file.Concentration("freeChlorine", Analyte.FreeChlorine, remarks),
            CombinedChlorine = file.Concentration("combinedChlorine", Analyte.CombinedChlorine, remarks),
            Conductivity = file.Stated<SpecificConductance>("conductivity"),
            Tds = ReadTds(file, remarks, problems),
        };
    }

    private static Stated<Temperature>? ReadTemperature(JsonReading file)
    {
        Stated<Temperature>? stated = file.Stated<Temperature>("temperature");
        if (
            stated is { } t
            && (
                t.Kind is StatementKind.Below
                || t.Low.DegreesCelsius < -1e-9
                || t.High.DegreesCelsius > 45 + 1e-9
            )
        )
        {
            file.Refuse("temperature", "a water temperature from 0 to 45 °C (32 to 113 °F)");
            return null;
        }

        return stated;
    }

    private static TdsReading? ReadTds(JsonReading file, List<Sentence> remarks, List<InputProblem> problems)
    {
        int before = problems.Count;
        if (file.Object("tds", "reading", "factor") is not { } tds || problems.Count > before)
        {
            return null;
        }

        Stated<MassConcentration>? reading = tds.Stated<MassConcentration>("reading");
        if (!tds.Has("reading"))
        {
            tds.Refuse("reading", "what the meter shows, such as \"231 ppm\" or \"231 mg/L\"");
        }

        Stated<double>? factor = tds.StatedNumber("factor", LeastFactor, GreatestFactor);
        if (factor is { Kind: not StatementKind.Exactly })
        {
            tds.Refuse("factor", "one number");
        }

        if (!tds.Has("factor"))
        {
            remarks.Add(
                Sentence.Of("The pocket meter's factor is not stated: 0.5 (sodium chloride type) is taken.")
            );
        }

        return reading is { } read ? new TdsReading(read, factor?.High ?? SodiumChlorideFactor) : null;
    }
}
