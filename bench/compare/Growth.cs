namespace Rinsewright.Compare;

/// <summary>How the cost of lives grows with one thing alone.</summary>
/// <param name="Name">What grows.</param>
/// <param name="File">Name of its picture.</param>
/// <param name="Unit">What the time counts, with its unit.</param>
/// <param name="Ideal">Exponent of linear growth: 1, or −1 where more threads share the work [-].</param>
/// <param name="Points">Size and time [ms].</param>
internal sealed record Growth(
    string Name,
    string File,
    string Unit,
    double Ideal,
    IReadOnlyList<(double Size, double Milliseconds)> Points
)
{
    /// <summary>Slope of log time against log size by least squares [-].</summary>
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
            1,
            [
                .. ((int[])[32, 64, 128, 256, 512]).Select(slices =>
                {
                    OwnSetting setting = OwnSetting.Default with { Slices = slices };
                    int steps = bed.Run(BedForm.Lanes, setting).Steps.Taken;
                    return ((double)slices, Time(bed, setting, repeat) / steps);
                }),
            ]
        );

    /// <summary>Time against steps, by a tighter tolerance on one grid.</summary>
    public static Growth WithSteps(OwnBed bed, int repeat) =>
        new(
            "steps",
            "performance-growth-steps.svg",
            "time of a life [ms]",
            1,
            [
                .. ((double[])[0.02, 0.005, 0.00125, 0.0003]).Select(tolerance =>
                {
                    OwnSetting setting = OwnSetting.Default with { Tolerance = tolerance };
                    int steps = bed.Run(BedForm.Lanes, setting).Steps.Taken;
                    return ((double)steps, Time(bed, setting, repeat));
                }),
            ]
        );

    /// <summary>Time of an ensemble on one thread against its members.</summary>
    public static Growth WithMembers(OwnBed bed, int repeat) =>
        new(
            "members",
            "performance-growth-members.svg",
            "time of all lives [ms]",
            1,
            [
                .. ((int[])[16, 64, 256, 1024]).Select(members =>
                    ((double)members, Time(bed, 1, members, repeat))
                ),
            ]
        );

    /// <summary>Time of an ensemble against threads, up to a thread for each core.</summary>
    public static Growth WithThreads(OwnBed bed, int repeat) =>
        new(
            "threads",
            "performance-growth-threads.svg",
            "time of 256 lives [ms]",
            -1,
            [
                .. Enumerable
                    .Range(1, Environment.ProcessorCount)
                    .Select(threads => ((double)threads, Time(bed, threads, 256, repeat))),
            ]
        );

    private static double Time(OwnBed bed, OwnSetting setting, int repeat) =>
        Clock.Median(repeat, () => bed.Run(BedForm.Lanes, setting));

    private static double Time(OwnBed bed, int threads, int members, int repeat) =>
        Clock.Median(
            repeat,
            () => Throughput.Run(bed, OwnSetting.Default, threads, members, Throughput.Seed)
        );
}
