using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Rinsewright.Quantities;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rig = Rinsewright.Treatment.Rig;

namespace Rinsewright.Web.Estimates;

/// <summary>The plumbing around a rig as a form states it; texts with their units, what is left out is usual.</summary>
public sealed record PressureQuestion
{
    /// <summary>Pressure at the spigot with everything shut.</summary>
    public string? Supply { get; init; }

    /// <summary>Flow of the spigot into a bucket.</summary>
    public string? OpenFlow { get; init; }

    /// <summary>Length of hose from the spigot to the rig.</summary>
    public string? HoseBefore { get; init; }

    /// <summary>Length of hose from the rig to the tool.</summary>
    public string? HoseAfter { get; init; }

    /// <summary>Inside diameter of the hoses.</summary>
    public string? Bore { get; init; }

    /// <summary>Flow of the tool at its pressure.</summary>
    public string? ToolFlow { get; init; }

    /// <summary>Pressure at which the tool passes that flow.</summary>
    public string? ToolPressure { get; init; }

    /// <summary>Water temperature.</summary>
    public string? WaterTemperature { get; init; }
}

/// <summary>The pressure along a rig, from the spigot to each tool.</summary>
/// <param name="Tools">What each tool gets when it runs alone.</param>
/// <param name="IsOfFile">Whether the plumbing is that of the rig's own file.</param>
public sealed record PressureAnswer(IReadOnlyList<FlowSolution> Tools, bool IsOfFile);

/// <summary>A rig of the record as the models know it: by its own file, otherwise its stages with usual insides.</summary>
public static class RecordedTrain
{
    public const string UsualSupply = "3.5 bar";
    public const string UsualHoseBefore = "5 m";
    public const string UsualHoseAfter = "15 m";
    public const string UsualBore = "12.7 mm";
    public const string UsualToolFlow = "8 L/min";
    public const string UsualToolPressure = "2 bar";
    private static readonly string HoseBefore = Texts.Key("hose from the spigot");
    private static readonly string HoseAfter = Texts.Key("hose to the tool");
    private static readonly string ToolName = Texts.Key("tool");
    private const string UsualTemperature = "12 degC";
    private const string UsualCarbon = "2.9 L";
    private const double HoseLosses = 4; // of couplings, in velocity heads

    /// <summary>What it calls the plumbing that people have not named.</summary>
    public static IReadOnlyCollection<string> OwnNames { get; } = [HoseBefore, HoseAfter, ToolName];

    /// <summary>The pressure along a rig, or nothing with everything that is wrong with the question.</summary>
    public static PressureAnswer? Pressures(
        RigHistory history,
        PressureQuestion asked,
        out IReadOnlyList<InputProblem> problems
    )
    {
        List<InputProblem> found = [];
        problems = found;
        Temperature temperature =
            FirstMinute.Quantity<Temperature>(
                "watertemperature",
                Or(asked.WaterTemperature, UsualTemperature),
                "degC",
                found
            ) ?? default;
        if (found.Count == 0 && temperature.DegreesCelsius is not (>= 0 and <= 60))
        {
            found.Add(new InputProblem("watertemperature", asked.WaterTemperature!, "0 to 60 °C"));
        }

        Rig? rig = history.Design is { Plumbing: not null } own ? own : Assumed(history, asked, found);
        return found.Count > 0 || rig?.Plumbing is not { } plumbing
            ? null
            : new PressureAnswer(
                plumbing.Solve(rig.Train, temperature),
                ReferenceEquals(rig, history.Design)
            );
    }

    private static Rig? Assumed(RigHistory history, PressureQuestion asked, List<InputProblem> problems)
    {
        var file = new JsonObject
        {
            ["name"] = history.Rig.Name,
            ["stages"] = new JsonArray([.. history.Stages.Select(s => (JsonNode?)StageOf(s))]),
            ["plumbing"] = new JsonObject
            {
                ["supply"] = Or(asked.Supply, UsualSupply),
                ["before"] = new JsonArray(Hose(HoseBefore, Or(asked.HoseBefore, UsualHoseBefore), asked)),
                ["after"] = new JsonArray(Hose(HoseAfter, Or(asked.HoseAfter, UsualHoseAfter), asked)),
                ["tools"] = new JsonArray(
                    new JsonObject
                    {
                        ["kind"] = "nozzle",
                        ["name"] = ToolName,
                        ["flow"] = Or(asked.ToolFlow, UsualToolFlow),
                        ["pressure"] = Or(asked.ToolPressure, UsualToolPressure),
                    }
                ),
            },
        };
        if (!string.IsNullOrWhiteSpace(asked.OpenFlow))
        {
            file["plumbing"]!["openFlow"] = asked.OpenFlow;
        }

        using JsonDocument document = JsonDocument.Parse(file.ToJsonString());
        if (RigFile.TryRead(document.RootElement, out Rig? rig, out IReadOnlyList<InputProblem> found))
        {
            return rig;
        }

        problems.AddRange(found);
        return null;
    }

    private static JsonObject Hose(string name, string length, PressureQuestion asked) =>
        new()
        {
            ["kind"] = "hose",
            ["name"] = name,
            ["innerDiameter"] = Or(asked.Bore, UsualBore),
            ["length"] = length,
            ["minorLoss"] = HoseLosses,
        };

    /// <summary>A stage of the record in the words of a rig file.</summary>
    private static JsonObject StageOf(StageHistory stage)
    {
        string volume = stage.Stage.Volume_m3 is { } known ? Liters(known) : UsualCarbon;
        return stage.Stage.Kind switch
        {
            StageKind.Sediment => new() { ["kind"] = "sediment", ["name"] = stage.Stage.Name },
            StageKind.CarbonBlock => new()
            {
                ["kind"] = "carbon-block",
                ["name"] = stage.Stage.Name,
                ["carbon"] = volume,
            },
            StageKind.ReverseOsmosis => new() { ["kind"] = "reverse-osmosis", ["name"] = stage.Stage.Name },
            _ => Bed(stage),
        };
    }

    private static JsonObject Bed(StageHistory stage)
    {
        ExchangeBed bed =
            stage.Bed(stage.Present?.Fill)
            ?? FreshBed.Of(stage.Stage.Kind, HousingCatalog.All[0].Resin, stage.Stage.Name)!;
        return new()
        {
            ["kind"] = "exchange-bed",
            ["name"] = stage.Stage.Name,
            ["volume"] = Liters(bed.Volume.CubicMeters),
            ["innerDiameter"] = string.Create(
                CultureInfo.InvariantCulture,
                $"{bed.InnerDiameter.Millimeters:0.##} mm"
            ),
            ["resins"] = new JsonArray([
                .. bed.Resins.Select(r =>
                    (JsonNode?)
                        new JsonObject
                        {
                            ["kind"] = r.Sign > 0 ? "strong-cation" : "strong-anion-1",
                            ["share"] = r.Share,
                        }
                ),
            ]),
        };
    }

    private static string Liters(double cubicMeters) =>
        string.Create(CultureInfo.InvariantCulture, $"{1e3 * cubicMeters:0.###} L");

    private static string Or(string? text, string usual) => string.IsNullOrWhiteSpace(text) ? usual : text;
}
