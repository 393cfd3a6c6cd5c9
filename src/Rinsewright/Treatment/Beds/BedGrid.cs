using System.Collections.Immutable;
using Rinsewright.Quantities;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// The nodes along a bed, from inlet to outlet. Slices shrink geometrically towards the outlet: a front keeps no memory
/// of how it was resolved further up, so that is where resolution pays.
/// </summary>
internal sealed class BedGrid
{
    /// <summary>Default number of slices, and the least of a bed that is followed closely.</summary>
    public const int DefaultSlices = 80;

    /// <summary>Default ratio of the first slice to the last.</summary>
    public const double DefaultGrading = 6;

    /// <summary>Numbers of slices to choose from: few, so that beds that differ a little share the lanes of a block.</summary>
    private static readonly ImmutableArray<int> Rungs = [DefaultSlices, 113, 160, 240];

    private static readonly ImmutableArray<int> CoarseRungs = [56, 80, 113, 160];

    private const double SlicesPerTransferUnit = 3;
    private const double CoarseSlicesPerTransferUnit = 2;

    private BedGrid(double[] slice) => Slice = slice;

    /// <summary>Thickness of the slice above each node as a fraction of the depth [-]; the first node has none.</summary>
    public double[] Slice { get; }

    public int NodeCount => Slice.Length;

    /// <summary>Weight of a node in a quadrature over the depth (trapezoidal rule) [-].</summary>
    public double Weight(int node) => 0.5 * (Slice[node] + (node + 1 < NodeCount ? Slice[node + 1] : 0));

    /// <summary>A grid.</summary>
    /// <param name="slices">Number of slices.</param>
    /// <param name="grading">Ratio of the first slice to the last [-].</param>
    public static BedGrid Create(int slices = DefaultSlices, double grading = DefaultGrading)
    {
        var slice = new double[slices + 1];
        double shrink = slices > 1 ? Math.Pow(grading, -1.0 / (slices - 1)) : 1;
        double thickness = 1;
        double sum = 0;
        for (int j = 1; j <= slices; j++)
        {
            slice[j] = thickness;
            sum += thickness;
            thickness *= shrink;
        }

        for (int j = 1; j <= slices; j++)
        {
            slice[j] /= sum;
        }

        return new BedGrid(slice);
    }

    /// <summary>A grid fine enough for the sharpest front that a bed has at a flow.</summary>
    /// <param name="bed">The bed.</param>
    /// <param name="flow">The slowest flow expected.</param>
    /// <param name="constants">Constants of water and ions at its temperature.</param>
    /// <param name="detail">What the run is asked for.</param>
    public static BedGrid For(
        ExchangeBed bed,
        VolumeFlow flow,
        BedConstants constants,
        BedDetail detail = BedDetail.Curves
    )
    {
        if (bed.Equilibrium)
        {
            return Create(BedCoefficients.EquilibriumSlices, 1);
        }

        double units = BedCoefficients.MostTransferUnits(bed, flow.CubicMetersPerSecond, constants);
        (ImmutableArray<int> rungs, double each) =
            detail is BedDetail.Lines
                ? (CoarseRungs, CoarseSlicesPerTransferUnit)
                : (Rungs, SlicesPerTransferUnit);
        return Create(rungs.FirstOrDefault(r => r >= each * units, rungs[^1]));
    }
}
