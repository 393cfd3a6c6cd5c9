using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Benchmarks;

/// <summary>The bed and the water of the bed's benchmarks.</summary>
internal static class SoftWaterBed
{
    /// <summary>A mixed bed with the default resins.</summary>
    public static ExchangeBed Bed { get; } =
        new(
            Volume.FromLiters(4.5),
            Length.FromMeters(0.105),
            new Resin(ResinKind.StrongCation, 0.4),
            new Resin(ResinKind.StrongAnion1, 0.6)
        );

    /// <summary>A new bed and 1.5 times its stoichiometric volume of a soft water.</summary>
    public static BedDraw Life(ExchangeBed bed)
    {
        var feed = new double[IonCatalog.ComponentCount];
        feed[(int)Component.Calcium] = 0.175;
        feed[(int)Component.Magnesium] = 0.058;
        feed[(int)Component.Sodium] = 0.261;
        feed[(int)Component.Potassium] = 0.015;
        feed[(int)Component.Chloride] = 0.339;
        feed[(int)Component.Sulfate] = 0.062;
        feed[(int)Component.Nitrate] = 0.015;
        feed[(int)Component.InorganicCarbon] = 0.29;
        feed[(int)Component.Silica] = 0.05;
        var flow = VolumeFlow.FromLitersPerMinute(8);
        var temperature = Temperature.FromDegreesCelsius(15);
        var series = new BedSeries([bed], flow, temperature);
        double life = 1.5 * series.StoichiometricVolume(feed).CubicMeters;
        return new BedDraw(series, feed, temperature, flow, Volume.FromCubicMeters(life));
    }
}
