using System.Collections.Immutable;
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
    public WaterComposition Feed => Feeds.OrderBy(TrainInput.Load).ElementAt(Feeds.Length / 2);

    public string WaterName { get; private init; } = "";

    public VolumeFlow Flow { get; private init; }

    /// <summary>Water to run, if the user said.</summary>
    public Volume? To { get; private init; }

    public IReadOnlyList<ChangeOutLine> Lines { get; private init; } = [];

    public double MeterFactor { get; private init; }

    /// <summary>What the reader took by custom where the files leave it open.</summary>
    public IReadOnlyList<string> Remarks { get; private init; } = [];

    /// <summary>Those of the remarks that name what the run leaves out of the rig.</summary>
    public IReadOnlyList<string> LeftOut { get; private init; } = [];

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
        VolumeFlow flow = Given.AboveZero<VolumeFlow>("--flow", options.Flow, problems) ?? default;
        Temperature? temperature = Given.Quantity<Temperature>(
            "--temperature",
            options.Temperature,
            problems
        );
        Volume? to = Given.AboveZero<Volume>("--to", options.To, problems);
        Given.Number("--meter-factor", meterFactor, LeastFactor, GreatestFactor, problems);
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

        List<ChangeOutLine> read =
        [
            .. lines.Select(text => Given.Line("--line", text, problems)).OfType<ChangeOutLine>(),
        ];
        Rig? rig = TrainInput.Rig(terminal, rigPath, problems);

        if (rig is { Beds.IsEmpty: true })
        {
            problems.Add(
                new(
                    $"{rigPath}: stages",
                    "no ion-exchange bed",
                    "at least one; rinsewright train runs the other stages"
                )
            );
        }

        List<string> left = [.. (rig?.Stages ?? []).Select(WhatIsLeftOut).OfType<string>()];
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
            LeftOut = left,
            Remarks = [.. left, .. remarks],
        };
    }

    /// <summary>What of a stage a run of the beds alone leaves out, or nothing.</summary>
    private static string? WhatIsLeftOut(Stage stage)
    {
        string? what = stage switch
        {
            BedStage { Arrangement: BedArrangement.Parallel } => "its beds are run one after the other",
            BedStage { Arrangement: BedArrangement.LeadLag } => "its beds are not changed over",
            BedStage => null,
            BlendStage => "its by-pass is left out",
            _ => "left out",
        };
        return what is null
            ? null
            : $"Stage {stage.Name}: {what}, for bed runs the exchange beds alone; rinsewright train runs the whole rig.";
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
            [.. remarks, .. source.Warnings.Select(w => w.ToString())]
        );
    }
}
