using Rinsewright.Quantities;

namespace Rinsewright.Treatment.Beds;

/// <summary>Water to draw through a series of beds.</summary>
/// <param name="Beds">The beds; a draw moves them on.</param>
/// <param name="Totals">Totals of the feed by component, length <see cref="Water.IonCatalog.ComponentCount"/> [mol/m³].</param>
/// <param name="Temperature">Temperature of the water.</param>
/// <param name="Flow">Flow through the series.</param>
/// <param name="Volume">Volume to draw.</param>
public sealed record BedDraw(
    BedSeries Beds,
    ReadOnlyMemory<double> Totals,
    Temperature Temperature,
    VolumeFlow Flow,
    Volume Volume
);
