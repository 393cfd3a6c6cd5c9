using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Water;

namespace Rinsewright.Cli;

/// <summary>What <c>train</c> and <c>choose</c> read: a water, a rig, a habit and prices.</summary>
internal static class TrainInput
{
    private const double UsualSolids_mg_L = 0.3; // data/parameters/sediment.json, tapSolids
    private const double ChlorineMolarMass_kg_mol = 0.070906;

    /// <summary>
    /// The source water of a file: of an ensemble the member of middling load, and those that one in twenty exceeds or falls
    /// short of.
    /// </summary>
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

        remarks.AddRange(source.Warnings);
        var oxidants = new Oxidants(
            Chlorine(source.Analysis.FreeChlorine),
            Chlorine(source.Analysis.CombinedChlorine)
        );
        MassConcentration solids = MassConcentration.FromMilligramsPerLiter(UsualSolids_mg_L);
        List<TrainWater> waters =
        [
            .. source.Members.OrderBy(Load).Select(m => new TrainWater(m, oxidants, solids)),
        ];
        return new SourceRange(
            waters[waters.Count / 2],
            source.IsSingle ? null : waters[waters.Count / 20],
            source.IsSingle ? null : waters[^(1 + (waters.Count / 20))]
        );
    }

    /// <summary>A rig file.</summary>
    public static Rig? Rig(Terminal terminal, string path, List<InputProblem> problems)
    {
        using JsonDocument? json = InputFile.ReadJson(terminal, path, problems);
        Rig? rig = null;
        if (
            json is not null
            && !RigFile.TryRead(json.RootElement, out rig, out IReadOnlyList<InputProblem> found)
        )
        {
            problems.AddRange(InFile(path, found));
        }

        return rig;
    }

    /// <summary>A habit file.</summary>
    public static Habit? Habit(Terminal terminal, string path, List<InputProblem> problems)
    {
        using JsonDocument? json = InputFile.ReadJson(terminal, path, problems);
        Habit? habit = null;
        if (
            json is not null
            && !Treatment.Habit.TryRead(json.RootElement, out habit, out IReadOnlyList<InputProblem> found)
        )
        {
            problems.AddRange(InFile(path, found));
        }

        return habit;
    }

    /// <summary>A prices file; none when no path is given.</summary>
    public static Prices? Prices(Terminal terminal, string? path, List<InputProblem> problems)
    {
        using JsonDocument? json = path is null ? null : InputFile.ReadJson(terminal, path, problems);
        Prices? prices = null;
        if (
            json is not null
            && !Treatment.Prices.TryRead(json.RootElement, out prices, out IReadOnlyList<InputProblem> found)
        )
        {
            problems.AddRange(InFile(path!, found));
        }

        return prices;
    }

    /// <summary>A quantity given as an option.</summary>
    public static T? Quantity<T>(string option, string? text, List<InputProblem> problems)
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

    private static IEnumerable<InputProblem> InFile(string path, IEnumerable<InputProblem> problems) =>
        problems.Select(p => p with { Place = $"{path}: {p.Place}" });

    /// <summary>Equivalents that a deionising bed must take [eq/m³].</summary>
    private static double Load(WaterComposition water)
    {
        double load = 0.0;
        foreach (Component component in Enum.GetValues<Component>())
        {
            int charge = IonCatalog.Of(IonCatalog.Master(component)).Charge;
            load +=
                component is Component.InorganicCarbon
                    ? water[component]
                    : int.Abs(charge) * water[component];
        }

        return load;
    }

    private static MassConcentration Chlorine(Stated<MolarConcentration>? stated) =>
        MassConcentration.FromKilogramsPerCubicMeter(
            ChlorineMolarMass_kg_mol * ((stated?.Middle ?? stated?.High)?.MolesPerCubicMeter ?? 0.0)
        );
}

/// <summary>A source water and the range that its analysis leaves open.</summary>
/// <param name="Usual">The middling water.</param>
/// <param name="Weak">A water that one in twenty falls short of; none for a full analysis.</param>
/// <param name="Strong">A water that one in twenty exceeds; none for a full analysis.</param>
internal sealed record SourceRange(TrainWater Usual, TrainWater? Weak, TrainWater? Strong);
