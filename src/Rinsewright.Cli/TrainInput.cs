using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Water;

namespace Rinsewright.Cli;

/// <summary>What <c>train</c> and <c>choose</c> read: a water, a rig, a habit and prices.</summary>
internal static class TrainInput
{
    private const double UsualSolids_mg_L = 0.3; // data/parameters/sediment.json, tapSolids

    /// <summary>The source water of a file, with all that its analysis leaves open.</summary>
    public static SourceRange? Water(
        Terminal terminal,
        string path,
        List<InputProblem> problems,
        List<string> remarks
    )
    {
        if (WaterInput.Read(terminal, path, new WaterMode(), problems, remarks) is not { } source)
        {
            return null;
        }

        remarks.AddRange(source.Warnings.Select(w => w.ToString()));
        return Range(source);
    }

    /// <summary>A source water as trains meet it: with its disinfectant and usual suspended solids.</summary>
    public static SourceRange Range(SourceWater source)
    {
        var oxidants = Oxidants.Stated(source.Analysis);
        MassConcentration solids = MassConcentration.FromMilligramsPerLiter(UsualSolids_mg_L);
        return new([.. source.Members.OrderBy(Load).Select(m => new TrainWater(m, oxidants, solids))]);
    }

    /// <summary>A rig file.</summary>
    public static Rig? Rig(Terminal terminal, string path, List<InputProblem> problems) =>
        InputFile.Read<Rig>(terminal, path, RigFile.TryRead, problems);

    /// <summary>A habit file.</summary>
    public static Habit? Habit(Terminal terminal, string path, List<InputProblem> problems) =>
        InputFile.Read<Habit>(terminal, path, Treatment.Habit.TryRead, problems);

    /// <summary>A prices file; none when no path is given.</summary>
    public static Prices? Prices(Terminal terminal, string? path, List<InputProblem> problems) =>
        path is null ? null : InputFile.Read<Prices>(terminal, path, Treatment.Prices.TryRead, problems);

    /// <summary>Equivalents that a deionising bed must take, carbon and silica counted once [eq/m³].</summary>
    public static double Load(WaterComposition water) =>
        Enum.GetValues<Component>()
            .Sum(c =>
                water[c]
                * (
                    c is Component.InorganicCarbon or Component.Silica
                        ? 1
                        : Math.Abs(IonCatalog.Of(IonCatalog.Master(c)).Charge)
                )
            );
}

/// <summary>A source water and the range that its analysis leaves open.</summary>
/// <param name="Waters">The waters that fit it, all as likely, from the weakest to the strongest; one for a full analysis.</param>
internal sealed record SourceRange(IReadOnlyList<TrainWater> Waters)
{
    /// <summary>The middling water.</summary>
    public TrainWater Usual => Waters[Waters.Count / 2];

    /// <summary>A water that one in twenty falls short of; none for a full analysis.</summary>
    public TrainWater? Weak => Waters.Count > 1 ? Waters[Waters.Count / 20] : null;

    /// <summary>A water that one in twenty exceeds; none for a full analysis.</summary>
    public TrainWater? Strong => Waters.Count > 1 ? Waters[^(1 + (Waters.Count / 20))] : null;

    /// <summary>Some of the waters, evenly over all.</summary>
    /// <param name="most">Greatest number of them.</param>
    public IReadOnlyList<TrainWater> Spread(int most)
    {
        int count = Math.Min(most, Waters.Count);
        return [.. Enumerable.Range(0, count).Select(i => Waters[(int)((i + 0.5) * Waters.Count / count)])];
    }
}
