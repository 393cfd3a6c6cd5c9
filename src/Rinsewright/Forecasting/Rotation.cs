using System.Collections.Immutable;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Forecasting;

/// <summary>
/// What moving up beds in series gives: at the line only the first is filled anew and goes last, so that what is thrown away has
/// been used further than when all are filled together.
/// </summary>
/// <param name="Beds">How many beds stand in series.</param>
/// <param name="WaterShare">
/// Water from one such change to the next, once it repeats itself, over the water that all beds filled together give [-].
/// </param>
public sealed record Rotation(int Beds, Band WaterShare)
{
    private const int Members = 12;

    /// <summary>Cost of fills for a litre over their cost when all beds are filled together [-].</summary>
    public Band CostShare =>
        new(
            1 / (Beds * WaterShare.Median), // eq. forecast-11
            1 / (Beds * WaterShare.P95),
            1 / (Beds * WaterShare.P05)
        );

    /// <summary>Runs the beds of a fill both ways, over what their resins and their water may turn out to be.</summary>
    /// <param name="fill">The fill.</param>
    /// <param name="line">The line at which something is changed.</param>
    /// <param name="meterFactor">Factor from conductivity to TDS for lines in ppm [-].</param>
    /// <param name="seed">Seed of the random stream; the same seed gives the same answer.</param>
    /// <returns>Nothing where beds cannot change places, or no run reaches the line.</returns>
    public static Rotation? Of(FillCase fill, ChangeOutLine line, double meterFactor, int seed)
    {
        ExchangeBed first = fill.Beds[0];
        if (fill.Beds.Length < 2 || fill.Beds.Any(b => !CanStandFor(b, first)))
        {
            return null;
        }

        var random = new Random(seed);
        (ImmutableArray<ExchangeBed> Beds, WaterComposition Water)[] plans =
        [
            .. Enumerable.Range(0, Members).Select(_ => LifeLibrary.Draw(fill.Beds, fill.Waters, random)),
        ];
        var found = new double?[Members];
        Parallel.For(
            0,
            Members,
            i =>
                found[i] =
                    Life(plans[i], fill.Flow, line, meterFactor, BedArrangement.LeadLag)
                    / Life(plans[i], fill.Flow, line, meterFactor, BedArrangement.Series)
        );
        double[] shares =
        [
            .. found
                .Where(share => share is > 0 && double.IsFinite(share.Value))
                .Select(share => share!.Value),
        ];
        return shares.Length > 0 ? new Rotation(fill.Beds.Length, Band.Of(shares)) : null;
    }

    /// <summary>Whether beds can change places: of one size, with the same resins in the same shares.</summary>
    private static bool CanStandFor(ExchangeBed bed, ExchangeBed other) =>
        bed.Volume == other.Volume
        && bed.InnerDiameter == other.InnerDiameter
        && bed.Resins.Select(resin => (resin.Kind, resin.Share))
            .SequenceEqual(other.Resins.Select(resin => (resin.Kind, resin.Share)));

    /// <summary>Water that beds give to the line [L]; nothing when it is not reached.</summary>
    private static double? Life(
        (ImmutableArray<ExchangeBed> Beds, WaterComposition Water) plan,
        VolumeFlow flow,
        ChangeOutLine line,
        double meterFactor,
        BedArrangement arrangement
    )
    {
        var stage = new BedStage("beds", plan.Beds, arrangement, ExitLine.Of(line, meterFactor));
        var feed = new TrainWater(plan.Water, default, default);
        return stage.Treat(feed, new StageDuty(flow, 0), CancellationToken.None)?.Life?.Liters;
    }
}
