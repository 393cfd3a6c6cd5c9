using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Cli;

/// <summary>Reads a water file and completes it.</summary>
internal static class WaterInput
{
    /// <summary>Members of an ensemble.</summary>
    public const int Members = 64;

    /// <summary>Seed of the ensembles that commands draw.</summary>
    public const int Seed = 1;

    /// <summary>The source water of a file, or null with the problems added.</summary>
    /// <param name="terminal">Where a hyphen reads from.</param>
    /// <param name="path">Path of the file.</param>
    /// <param name="mode">How pH and carbon are settled.</param>
    /// <param name="problems">Receives what is wrong.</param>
    /// <param name="remarks">Receives what was read by custom.</param>
    public static SourceWater? Read(
        Terminal terminal,
        string path,
        WaterMode mode,
        List<InputProblem> problems,
        List<string> remarks
    )
    {
        using JsonDocument? document = InputFile.ReadJson(terminal, path, problems);
        if (document is null)
        {
            return null;
        }

        bool read = WaterFile.TryRead(
            document.RootElement,
            out WaterAnalysis? analysis,
            out IReadOnlyList<InputProblem> found,
            out IReadOnlyList<Sentence> said
        );
        remarks.AddRange(said.Select(s => s.ToString()));
        if (!read)
        {
            problems.AddRange(found.Select(p => p with { Place = $"{path}: {p.Place}" }));
            return null;
        }

        SourceWater? source = SourceWater.Complete(analysis!, mode, Members, Seed, out found);
        problems.AddRange(found.Select(p => p with { Place = $"{path}: {p.Place}" }));
        return source;
    }
}
