using Rinsewright.Treatment.Beds;

namespace Rinsewright.Compare;

/// <summary>Whole lives per second when many are wanted at once, as a forecast wants them.</summary>
/// <param name="Case">The case that the members are drawn around.</param>
/// <param name="Setting">How finely they are solved.</param>
/// <param name="Errors">How far off the first of them are.</param>
/// <param name="Threads">Threads used.</param>
/// <param name="Members">Lives run.</param>
/// <param name="Seconds">Median time for all of them, the making of the beds included.</param>
internal sealed record Throughput(
    CaseResult Case,
    OwnSetting Setting,
    MemberErrors Errors,
    int Threads,
    int Members,
    double Seconds
)
{
    /// <summary>Seed of the members that are timed.</summary>
    public const int Seed = 1;

    public double LivesPerSecond => Members / Seconds;

    /// <summary>Time of a thread for one life [ms].</summary>
    public double Milliseconds => 1e3 * Seconds * Threads / Members;

    /// <summary>How many lives a thread runs while a peer's cheapest passing setting runs one; null when none passes.</summary>
    public double? Over(string peer) => Case.CheapestPassing(peer)?.Run.Milliseconds / Milliseconds;

    /// <summary>Times members that all differ.</summary>
    public static Throughput Of(
        CaseResult of,
        OwnSetting setting,
        MemberErrors errors,
        int threads,
        int members,
        int repeat
    )
    {
        var bed = new OwnBed(of.Bed);
        double milliseconds = Clock.Median(repeat, () => Run(bed, setting, threads, members, Seed));
        return new Throughput(of, setting, errors, threads, members, 1e-3 * milliseconds);
    }

    /// <summary>Runs members that all differ.</summary>
    public static BedDraw[] Run(OwnBed bed, OwnSetting setting, int threads, int members, int seed)
    {
        var random = new Random(seed);
        BedDraw[] draws = [.. Enumerable.Range(0, members).Select(_ => bed.Member(setting, random))];
        foreach (BedRunStatus status in BedEnsemble.Advance(draws, threads))
        {
            if (status != BedRunStatus.Completed)
            {
                throw new InvalidOperationException($"A member ended with {status}.");
            }
        }

        return draws;
    }
}
