using System.Collections.Immutable;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Treatment;

/// <summary>One installation: its stages in the order in which the water meets them.</summary>
/// <param name="Name">Its name, for people.</param>
/// <param name="Stages">At least one stage.</param>
public sealed record Rig(string Name, ImmutableArray<Stage> Stages)
{
    /// <summary>Supply, pipes and tools around the train, if stated.</summary>
    public Plumbing? Plumbing { get; init; }

    /// <summary>The stages as a train.</summary>
    public Train Train => new(Stages);

    /// <summary>Its ion-exchange beds in the order in which the water meets them; those side by side are all named.</summary>
    public ImmutableArray<ExchangeBed> Beds => [.. Stages.SelectMany(BedsOf)];

    private static IEnumerable<ExchangeBed> BedsOf(Stage stage) =>
        stage switch
        {
            BedStage beds => beds.Beds,
            BlendStage blend => BedsOf(blend.Around),
            _ => [],
        };
}
