using System.Collections.Immutable;
using Rinsewright.Numerics;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Forecasting;

/// <summary>
/// Full simulations of a rig's beds over everything that is not known of them and of their source before a reading is taken.
/// They are made once for a rig and serve every forecast of its fills.
/// </summary>
public sealed class LifeLibrary
{
    /// <summary>Usual number of lives.</summary>
    public const int UsualCount = 1000;

    /// <summary>Standard deviation of the logarithm of a source's strength about its analysis [-] (our choice).</summary>
    public const double StrengthSd = 0.1;

    /// <summary>Rests in a life, evenly over its water.</summary>
    internal const int Rests = 12;

    private const double Length = 1.4;
    private const int Samples = 72;

    private static readonly TimeSpan RestLength = TimeSpan.FromHours(16); // a night

    private LifeLibrary(ImmutableArray<Life> lives) => Lives = lives;

    internal ImmutableArray<Life> Lives { get; }

    /// <summary>Simulates the lives.</summary>
    /// <param name="beds">The beds, in series.</param>
    /// <param name="waters">Source waters of equal weight.</param>
    /// <param name="flow">Usual flow.</param>
    /// <param name="count">How many lives.</param>
    /// <param name="seed">Seed of the random stream.</param>
    /// <param name="progress">Told the fraction done [-].</param>
    /// <param name="cancellation">Stops the simulations.</param>
    public static LifeLibrary Build(
        ImmutableArray<ExchangeBed> beds,
        ImmutableArray<WaterComposition> waters,
        VolumeFlow flow,
        int count,
        int seed,
        IProgress<double>? progress = null,
        CancellationToken cancellation = default
    )
    {
        var random = new Random(seed);
        var plans = new (ImmutableArray<ExchangeBed> Beds, WaterComposition Water)[count];
        for (int i = 0; i < count; i++)
        {
            plans[i] = Draw(beds, waters, random);
        }

        return new LifeLibrary(Simulate(plans, flow, progress, cancellation));
    }

    /// <summary>Beds and a water as the prior has them.</summary>
    internal static (ImmutableArray<ExchangeBed> Beds, WaterComposition Water) Draw(
        ImmutableArray<ExchangeBed> beds,
        ImmutableArray<WaterComposition> waters,
        Random random
    )
    {
        ImmutableArray<ExchangeBed> drawn = [.. beds.Select(b => BedUncertainty.Draw(b, random))];
        WaterComposition water = waters[random.Next(waters.Length)];
        return (drawn, water.Concentrated(Math.Exp(StrengthSd * NormalDistribution.Draw(random))));
    }

    internal static ImmutableArray<Life> Simulate(
        IReadOnlyList<(ImmutableArray<ExchangeBed> Beds, WaterComposition Water)> plans,
        VolumeFlow flow,
        IProgress<double>? progress,
        CancellationToken cancellation
    )
    {
        var draws = new BedDraw[plans.Count];
        Parallel.For(
            0,
            draws.Length,
            i => draws[i] = BedDraw.OfLife(plans[i].Beds, plans[i].Water, flow, Length)
        );
        ImmutableArray<BedRunStatus> ended = Live(draws, progress, cancellation);
        cancellation.ThrowIfCancellationRequested();
        var lives = new Life?[draws.Length];
        Parallel.For(
            0,
            draws.Length,
            i =>
            {
                if (ended[i] is BedRunStatus.Completed)
                {
                    lives[i] = LifeOf(draws[i].Beds, plans[i].Water, plans[i].Beds);
                }
            }
        );
        return lives.Any(l => l is null)
            ? throw new InvalidOperationException(
                $"A life did not run to its end: {ended.First(s => s is not BedRunStatus.Completed)}."
            )
            : [.. lives!];
    }

    /// <summary>Draws lives in pieces, with a rest behind each but the last.</summary>
    /// <returns>How each ended.</returns>
    private static ImmutableArray<BedRunStatus> Live(
        BedDraw[] lives,
        IProgress<double>? progress,
        CancellationToken cancellation
    )
    {
        BedDraw[] pieces =
        [
            .. lives.Select(l =>
                l with
                {
                    Volume = Volume.FromCubicMeters(l.Volume.CubicMeters / (Rests + 1)),
                }
            ),
        ];
        (BedSeries, Temperature)[] resting = [.. lives.Select(l => (l.Beds, l.Temperature))];
        for (int rest = 0; ; rest++)
        {
            ImmutableArray<BedRunStatus> drawn = BedEnsemble.Advance(pieces, cancellation: cancellation);
            progress?.Report((rest + 1.0) / (Rests + 1));
            if (rest == Rests || drawn.Any(s => s is not BedRunStatus.Completed))
            {
                return drawn;
            }

            ImmutableArray<BedRunStatus> rested = BedEnsemble.Rest(resting, RestLength);
            if (rested.Any(s => s is not BedRunStatus.Completed))
            {
                return rested;
            }
        }
    }

    private static Life LifeOf(BedSeries series, WaterComposition water, ImmutableArray<ExchangeBed> beds)
    {
        var report = new EffluentReport(series.Effluent, water, beds, Samples);
        return new Life(report);
    }
}
