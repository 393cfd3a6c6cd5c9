using System.Collections.Immutable;
using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Records.Histories;

/// <summary>
/// The exchange beds that the water of a rig's last bed goes through, itself among them, with what stands before them: a life
/// of the last bed is a life of all of them. Earlier beds count as filled together with the last, which is how lead and
/// polisher are usually changed.
/// </summary>
/// <param name="Stages">The stages of the beds in the order in which the water meets them; the last is the last bed.</param>
/// <param name="Beds">The beds, freshly filled.</param>
/// <param name="Membrane">The membrane before them, if there is one.</param>
public sealed record BedLine(
    ImmutableArray<StageHistory> Stages,
    ImmutableArray<ExchangeBed> Beds,
    ReverseOsmosis? Membrane
)
{
    /// <summary>The line up to a rig's last bed; nothing when the volume of that bed is not known.</summary>
    /// <param name="history">The rig.</param>
    /// <param name="last">Its last bed.</param>
    /// <param name="fill">The fill in it.</param>
    public static BedLine? Of(RigHistory history, StageHistory last, Fill fill)
    {
        StageHistory? membrane = history.Stages.LastOrDefault(s =>
            s.Stage.Kind is StageKind.ReverseOsmosis && s.Stage.Position < last.Stage.Position
        );
        List<(StageHistory Stage, ExchangeBed Bed)> beds = [];
        foreach (
            StageHistory stage in history.Stages.Where(s =>
                s.Stage.Position > (membrane?.Stage.Position ?? int.MinValue)
                && s.Stage.Position < last.Stage.Position
            )
        )
        {
            if (stage.Bed(stage.Present?.Fill) is { } before)
            {
                beds.Add((stage, before));
            }
        }

        if (last.Bed(fill) is not { } own)
        {
            return null;
        }

        beds.Add((last, own));
        return new BedLine(
            [.. beds.Select(b => b.Stage)],
            [.. beds.Select(b => b.Bed)],
            membrane is null ? null
                : membrane.Designed is OsmosisStage designed ? designed.Membrane
                : new ReverseOsmosis()
        );
    }

    /// <summary>What the first bed is fed with; nothing where the membrane cannot be worked out.</summary>
    /// <param name="water">The raw water.</param>
    public WaterComposition? Feed(WaterComposition water) =>
        Membrane is null ? water : Membrane.Treat(water)?.Permeate;

    /// <summary>Whether a reading was taken of what the first bed is fed with.</summary>
    public bool IsOfFeed(Reading reading) =>
        reading.Place switch
        {
            Place.Source => Membrane is null,
            Place.Inlet => reading.StageId == Stages[0].Stage.Id,
            _ => false,
        };
}
