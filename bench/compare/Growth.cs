namespace Rinsewright.Compare;

/// <summary>How the cost of a life grows with one thing alone.</summary>
/// <param name="Name">What grows.</param>
/// <param name="File">Name of its picture.</param>
/// <param name="Unit">What the time counts, with its unit.</param>
/// <param name="Points">Size and time [ms].</param>
internal sealed record Growth(
    string Name,
    string File,
    string Unit,
    IReadOnlyList<(double Size, double Milliseconds)> Points
)
{
    /// <summary>Slope of log time against log size by least squares; 1 is linear [-].</summary>
    public double Exponent
    {
        get
        {
            double[] x = [.. Points.Select(p => Math.Log(p.Size))];
            double[] y = [.. Points.Select(p => Math.Log(p.Milliseconds))];
            double meanX = x.Average();
            double meanY = y.Average();
            return x.Zip(y, (a, b) => (a - meanX) * (b - meanY)).Sum()
                / x.Sum(a => (a - meanX) * (a - meanX));
        }
    }

    /// <summary>Time of a step against slices.</summary>
    public static Growth WithSlices(OwnBed bed, int repeat) =>
        new(
            "slices",
            "performance-growth-slices.svg",
            "time of a step [ms]",
            [
                .. ((int[])[32, 64, 128, 256, 512]).Select(slices =>
                {
                    int steps = bed.Run(slices, Tolerance).Steps.Taken;
                    double time = Clock.Median(repeat, () => bed.Run(slices, Tolerance));
                    return ((double)slices, time / steps);
                }),
            ]
        );

    /// <summary>Time against steps, by a tighter tolerance on one grid.</summary>
    public static Growth WithSteps(OwnBed bed, int repeat) =>
        new(
            "steps",
            "performance-growth-steps.svg",
            "time of a life [ms]",
            [
                .. ((double[])[0.02, 0.005, 0.00125, 0.0003]).Select(tolerance =>
                {
                    int steps = bed.Run(Slices, tolerance).Steps.Taken;
                    return ((double)steps, Clock.Median(repeat, () => bed.Run(Slices, tolerance)));
                }),
            ]
        );

    private const int Slices = 56;
    private const double Tolerance = 0.01;
}
