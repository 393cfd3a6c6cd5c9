using System.Runtime.InteropServices;
using Rinsewright.Numerics;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <summary>The water that leaves a series of beds, against the volume that has passed it.</summary>
public sealed class EffluentCurve
{
    private const int Stride = IonCatalog.ComponentCount;
    private readonly List<double> _volume = [];
    private readonly List<double> _totals = [];

    /// <summary>Number of samples; they stand closer where the water changes faster.</summary>
    public int Count => _volume.Count;

    /// <summary>Volume passed at a sample.</summary>
    public Volume VolumeAt(int sample) => Volume.FromCubicMeters(_volume[sample]);

    /// <summary>Totals of a sample by component, length <see cref="IonCatalog.ComponentCount"/> [mol/m³].</summary>
    public ReadOnlySpan<double> TotalsAt(int sample) =>
        CollectionsMarshal.AsSpan(_totals).Slice(sample * Stride, Stride);

    /// <summary>Total of one component at a volume passed [mol/m³], by a cubic that adds no extremum of its own.</summary>
    /// <param name="component">The component.</param>
    /// <param name="volume">Volume passed; outside the curve the nearest end holds.</param>
    public double At(Component component, Volume volume) =>
        MonotoneCubic.Evaluate(_volume, i => _totals[i * Stride + (int)component], volume.CubicMeters);

    /// <summary>All totals at a volume passed [mol/m³].</summary>
    /// <param name="volume">Volume passed; outside the curve the nearest end holds.</param>
    public double[] At(Volume volume)
    {
        var totals = new double[IonCatalog.ComponentCount];
        for (int i = 0; i < totals.Length; i++)
        {
            totals[i] = At((Component)i, volume);
        }

        return totals;
    }

    internal void Add(double volume, BedIons ions, ReadOnlySpan<double> liquid)
    {
        CollectionsMarshal.SetCount(_totals, _totals.Count + Stride);
        Span<double> totals = CollectionsMarshal.AsSpan(_totals)[^Stride..];
        totals.Clear();
        for (int i = 0; i < ions.Count; i++)
        {
            totals[(int)ions.Components[i]] = Math.Max(liquid[i], 0);
        }

        _volume.Add(volume);
    }
}
