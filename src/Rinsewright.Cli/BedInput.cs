using System.Collections.Immutable;
using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Water;

namespace Rinsewright.Cli;

/// <summary>What <c>bed</c> was given, read and checked.</summary>
internal sealed record BedInput
{
    private const double LeastFactor = 0.4;
    private const double GreatestFactor = 0.8;
    private const int MostMembers = 100_000;
    private const int UsualMembers = 200;

    public Rig Rig { get; private init; } = null!;

    /// <summary>The waters that the file allows, of equal weight; one when it leaves nothing open.</summary>
    public ImmutableArray<WaterComposition> Feeds { get; private init; } = [];

    /// <summary>Members of the outlook; 0 for none.</summary>
    public int Members { get; private init; }

    /// <summary>Seed of the outlook.</summary>
    public int Seed { get; private init; }

    /// <summary>The one that brings a middling load.</summary>
    public WaterComposition Feed => Feeds.OrderBy(Load).ElementAt(Feeds.Length / 2);

    public string WaterName { get; private init; } = "";

    public VolumeFlow Flow { get; private init; }

    /// <summary>Water to run, if the user said.</summary>
    public Volume? To { get; private init; }

    public IReadOnlyList<ChangeOutLine> Lines { get; private init; } = [];

    public double MeterFactor { get; private init; }

    /// <summary>What the reader took by custom where the files leave it open.</summary>
    public IReadOnlyList<string> Remarks { get; private init; } = [];

    /// <summary>Reads everything; what is returned holds only when no problem was added.</summary>
    public static BedInput Read(
        Terminal terminal,
        string rigPath,
        string waterPath,
        (string Flow, string? To, string? Temperature) options,
        IReadOnlyList<string> lines,
        double meterFactor,
        (int? Members, int Seed) chance,
        List<InputProblem> problems
    )
    {
        VolumeFlow flow = Quantity<VolumeFlow>("--flow", options.Flow, problems) ?? default;
        Temperature? temperature = Quantity<Temperature>("--temperature", options.Temperature, problems);
        Volume? to = Quantity<Volume>("--to", options.To, problems);
        if (flow.CubicMetersPerSecond <= 0 && problems.Count == 0)
        {
            problems.Add(new("--flow", options.Flow, "a flow above zero"));
        }

        if (to is { CubicMeters: <= 0 })
        {
            problems.Add(new("--to", options.To!, "a volume above zero"));
        }

        if (!(meterFactor >= LeastFactor && meterFactor <= GreatestFactor))
        {
            problems.Add(
                new(
                    "--meter-factor",
                    FormattableString.Invariant($"{meterFactor}"),
                    "a number from 0.4 to 0.8"
                )
            );
        }

        if (chance.Members is < 1 or > MostMembers)
        {
            problems.Add(
                new(
                    "--members",
                    FormattableString.Invariant($"{chance.Members}"),
                    $"a whole number from 1 to {MostMembers}"
                )
            );
        }

        List<ChangeOutLine> read = [];
        foreach (string text in lines)
        {
            if (ChangeOutLine.TryParse("--line", text, out ChangeOutLine? line, out InputProblem? problem))
            {
                read.Add(line);
            }
            else
            {
                problems.Add(problem);
            }
        }

        Rig? rig = null;
        using (JsonDocument? json = InputFile.ReadJson(terminal, rigPath, problems))
        {
            if (
                json is not null
                && !RigFile.TryRead(json.RootElement, out rig, out IReadOnlyList<InputProblem> found)
            )
            {
                problems.AddRange(InFile(rigPath, found));
            }
        }

        (ImmutableArray<WaterComposition> feeds, string name, IReadOnlyList<string> remarks) = ReadWater(
            terminal,
            waterPath,
            temperature,
            problems
        );
        return new BedInput
        {
            Rig = rig!,
            Feeds = feeds,
            Members = chance.Members ?? (feeds.Length > 1 ? UsualMembers : 0),
            Seed = chance.Seed,
            WaterName = name,
            Flow = flow,
            To = to,
            Lines = read,
            MeterFactor = meterFactor,
            Remarks = remarks,
        };
    }

    private static T? Quantity<T>(string option, string? text, List<InputProblem> problems)
        where T : struct, IQuantity<T>
    {
        if (text is null)
        {
            return null;
        }

        if (QuantityText.TryParseExactly(option, text, out T value, out InputProblem? problem))
        {
            return value;
        }

        problems.Add(problem);
        return null;
    }

    private static (
        ImmutableArray<WaterComposition> Feeds,
        string Name,
        IReadOnlyList<string> Remarks
    ) ReadWater(Terminal terminal, string path, Temperature? temperature, List<InputProblem> problems)
    {
        List<string> remarks = [];
        if (WaterInput.Read(terminal, path, new WaterMode(), problems, remarks) is not { } source)
        {
            return ([], "", []);
        }

        IEnumerable<WaterComposition> feeds = source.Members.Select(f =>
            temperature is { } t ? f.AtTemperature(t.Kelvins) : f
        );
        return (
            [.. feeds],
            source.Analysis.Name ?? Path.GetFileNameWithoutExtension(path),
            [.. remarks, .. source.Warnings]
        );
    }

    /// <summary>Equivalents of the ions, and moles of silica [per m³].</summary>
    private static double Load(WaterComposition water) =>
        Enum.GetValues<Component>()
            .Sum(c => water[c] * Math.Max(1, Math.Abs(IonCatalog.Of(IonCatalog.Master(c)).Charge)));

    private static IEnumerable<InputProblem> InFile(string path, IEnumerable<InputProblem> problems) =>
        problems.Select(p => p with { Place = $"{path}: {p.Place}" });
}
