using Rinsewright.Treatment.Beds;

namespace Rinsewright.Compare;

/// <summary>Whole lives per second when many are wanted at once, as a forecast wants them.</summary>
/// <param name="Case">The case that the members are drawn around.</param>
/// <param name="Alone">The same setting on the case itself, with its error.</param>
/// <param name="Threads">Threads used.</param>
/// <param name="Members">Lives run.</param>
/// <param name="Seconds">Median time for all of them, the making of the beds included.</param>
internal sealed record Throughput(
    CaseResult Case,
    Measurement Alone,
    int Threads,
    int Members,
    double Seconds
)
{
    private const int Seed = 1;

    public double LivesPerSecond => Members / Seconds;

    /// <summary>Time of a thread for one life [ms].</summary>
    public double Milliseconds => 1e3 * Seconds * Threads / Members;

    /// <summary>How many lives a thread runs while a peer's cheapest passing setting runs one; null when none passes.</summary>
    public double? Over(string peer) => Case.CheapestPassing(peer)?.Run.Milliseconds / Milliseconds;

    /// <summary>Times members that all differ.</summary>
    public static Throughput Of(
        CaseResult of,
        Measurement alone,
        OwnSetting setting,
        int threads,
        int members,
        int repeat
    )
    {
        var bed = new OwnBed(of.Bed);
        double milliseconds = Clock.Median(repeat, () => Run(bed, setting, threads, members));
        return new Throughput(of, alone, threads, members, 1e-3 * milliseconds);
    }

    /// <summary>Runs members that all differ.</summary>
    public static void Run(OwnBed bed, OwnSetting setting, int threads, int members)
    {
        var random = new Random(Seed);
        BedDraw[] draws = [.. Enumerable.Range(0, members).Select(_ => bed.Member(setting, random))];
        foreach (BedRunStatus status in BedEnsemble.Advance(draws, threads))
        {
            if (status != BedRunStatus.Completed)
            {
                throw new InvalidOperationException($"A member ended with {status}.");
            }
        }
    }
}
