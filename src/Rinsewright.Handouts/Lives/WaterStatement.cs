using System.Collections.Concurrent;
using System.Globalization;
using System.Text.Json.Nodes;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Handouts.Lives;

/// <summary>What a person says of a water in a form: a pocket reading, and what test kits add to it. Texts with their units.</summary>
public sealed record WaterStatement
{
    /// <summary>Factor of a meter that does not say its own.</summary>
    public const double UsualFactor = 0.5;

    private static readonly (string Property, Func<WaterStatement, string?> Text)[] Plain =
    [
        ("hardness", s => s.Hardness),
        ("alkalinity", s => s.Alkalinity),
        ("silica", s => s.Silica),
        ("chloride", s => s.Chloride),
        ("sulfate", s => s.Sulfate),
        ("nitrate", s => s.Nitrate),
        ("sodium", s => s.Sodium),
        ("pH", s => s.PH),
        ("temperature", s => s.Temperature),
    ];

    public string? Name { get; init; }

    /// <summary>A TDS meter's <c>245 ppm</c>, or a conductivity such as <c>490 µS/cm</c>; a bare number is ppm.</summary>
    public string? Reading { get; init; }

    /// <summary>The meter's factor from conductivity to TDS, 0.3 to 1.</summary>
    public double? Factor { get; init; }

    public string? Hardness { get; init; }

    public string? Alkalinity { get; init; }

    public string? Silica { get; init; }

    public string? Chloride { get; init; }

    public string? Sulfate { get; init; }

    public string? Nitrate { get; init; }

    public string? Sodium { get; init; }

    public string? PH { get; init; }

    public string? Temperature { get; init; }

    /// <summary>The statement as the text of a water file.</summary>
    public string ToWaterFile()
    {
        var file = new JsonObject();
        if (!string.IsNullOrWhiteSpace(Name))
        {
            file["name"] = Name.Trim();
        }

        if (!string.IsNullOrWhiteSpace(Reading))
        {
            string reading = WithUnit(Reading.Trim(), "ppm");
            if (QuantityText.TryParse<SpecificConductance>("reading", reading, out _, out _))
            {
                file["conductivity"] = reading;
            }
            else
            {
                file["tds"] = new JsonObject { ["reading"] = reading, ["factor"] = Factor ?? UsualFactor };
            }
        }

        foreach ((string property, Func<WaterStatement, string?> text) in Plain)
        {
            if (!string.IsNullOrWhiteSpace(text(this)))
            {
                file[property] = text(this)!.Trim();
            }
        }

        return file.ToJsonString();
    }

    /// <summary>The text with a unit added when it is a bare number.</summary>
    public static string WithUnit(string text, string unit) =>
        double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out _)
            ? $"{text} {unit}"
            : text;
}

/// <summary>Reads and completes waters, and keeps those it has completed.</summary>
public sealed class SourceWaters
{
    private const int Members = 128;
    private const int Seed = 1;
    private const int MostKept = 200;
    private readonly ConcurrentDictionary<string, Completed> _known = new(StringComparer.Ordinal);

    /// <summary>The source water that the text of a water file describes, or why there is none.</summary>
    public Completed Of(string waterFile)
    {
        if (_known.TryGetValue(waterFile, out Completed? known))
        {
            return known;
        }

        if (_known.Count >= MostKept)
        {
            _known.Clear();
        }

        return _known.GetOrAdd(waterFile, Complete);
    }

    private static Completed Complete(string waterFile)
    {
        if (
            !WaterFile.TryRead(
                waterFile,
                out WaterAnalysis? analysis,
                out IReadOnlyList<InputProblem> problems,
                out IReadOnlyList<Sentence> remarks
            )
        )
        {
            return new Completed(null, problems, remarks);
        }

        SourceWater? source = SourceWater.Complete(analysis, new WaterMode(), Members, Seed, out problems);
        return new Completed(source, problems, [.. remarks, .. source?.Warnings ?? []]);
    }
}

/// <summary>A completed water with what a person should know of it, or nothing with problems.</summary>
public sealed record Completed(
    SourceWater? Source,
    IReadOnlyList<InputProblem> Problems,
    IReadOnlyList<Sentence> Remarks
)
{
    private WaterReport? _report;

    /// <summary>Figures of the water; nothing when a member has no speciation.</summary>
    public WaterReport? Report =>
        Source is null ? null : _report ??= WaterReport.Of(Source, ActivityModel.TruesdellJones);

    /// <summary>Whether the water file only states a strength.</summary>
    public bool IsStrengthOnly =>
        Source is { IsSingle: false }
        && Source.Analysis is { Hardness: null, Alkalinity: null, Totals.Count: 0 };
}
