using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <summary>Water to draw through a series of beds.</summary>
/// <param name="Beds">The beds; a draw moves them on.</param>
/// <param name="Totals">Totals of the feed by component, length <see cref="IonCatalog.ComponentCount"/> [mol/m³].</param>
/// <param name="Temperature">Temperature of the water.</param>
/// <param name="Flow">Flow through the series.</param>
/// <param name="Volume">Volume to draw.</param>
public sealed record BedDraw(
    BedSeries Beds,
    ReadOnlyMemory<double> Totals,
    Temperature Temperature,
    VolumeFlow Flow,
    Volume Volume
)
{
    /// <summary>The draw that takes new beds through a number of their lives.</summary>
    /// <param name="beds">The beds, in the order in which the water meets them.</param>
    /// <param name="water">The feed.</param>
    /// <param name="flow">Flow through the series.</param>
    /// <param name="lives">Water to draw, over what the larger of the resins can hold [-].</param>
    /// <param name="detail">How closely what leaves the beds is to be followed.</param>
    public static BedDraw OfLife(
        IReadOnlyList<ExchangeBed> beds,
        WaterComposition water,
        VolumeFlow flow,
        double lives,
        BedDetail detail = BedDetail.Curves
    )
    {
        var temperature = Temperature.FromKelvins(water.TemperatureKelvin);
        var series = new BedSeries(beds, flow, temperature, detail);
        double life = lives * series.StoichiometricVolume(water.Totals).CubicMeters;
        return new BedDraw(series, water.Totals.ToArray(), temperature, flow, Volume.FromCubicMeters(life));
    }
}
