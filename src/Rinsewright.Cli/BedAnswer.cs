using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Cli;

/// <summary>The run of <c>bed</c> with the designs as they stand.</summary>
internal sealed record BedAnswer(EffluentReport Report, double BalanceError)
{
    /// <summary>Runs a feed, or nothing when the equations of the beds were not solved.</summary>
    public static BedAnswer? Of(BedInput input, WaterComposition feed)
    {
        var life = BedDraw.OfLife(input.Rig.Beds, feed, input.Flow, BedOutlook.UsualLife);
        BedSeries beds = life.Beds;
        BedRunStatus status = beds.Advance(
            feed.Totals,
            life.Temperature,
            input.Flow,
            input.To ?? life.Volume
        );
        return status is BedRunStatus.Completed
            ? new BedAnswer(new EffluentReport(beds.Effluent, feed, input.Rig.Beds), beds.BalanceError)
            : null;
    }
}
