using Rinsewright.Quantities;
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
        var temperature = Temperature.FromKelvins(feed.TemperatureKelvin);
        var beds = new BedSeries(input.Rig.Beds, input.Flow, temperature);
        Volume volume =
            input.To
            ?? Volume.FromCubicMeters(
                BedOutlook.UsualLife * beds.StoichiometricVolume(feed.Totals).CubicMeters
            );
        BedRunStatus status = beds.Advance(feed.Totals, temperature, input.Flow, volume);
        return status is BedRunStatus.Completed
            ? new BedAnswer(new EffluentReport(beds.Effluent, feed, input.Rig.Beds), beds.BalanceError)
            : null;
    }
}
