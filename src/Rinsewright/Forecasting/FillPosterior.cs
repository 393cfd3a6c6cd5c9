using System.Collections.Immutable;
using Rinsewright.Numerics;

namespace Rinsewright.Forecasting;

/// <summary>
/// What is known of a fill after its readings: members of equal weight. They are drawn from the prior and led to the posterior
/// by tempered sequential Monte Carlo: the likelihood is raised from power 0 to 1 in steps that keep half the effective
/// sample size, and between them members are resampled and moved by Metropolis steps that leave the target unchanged. A life
/// is exchanged for another by a move that shifts the stretch so that the turn of the curve stays where it is.
/// </summary>
internal sealed class FillPosterior
{
    private const int MaxStages = 80;
    private const int Sweeps = 8;
    private const double SmallStep = 0.35;

    private readonly FillPrior _prior;
    private readonly int _seed;

    private FillPosterior(
        ReadingModel model,
        FillPrior prior,
        Unknowns[] members,
        int seed,
        double logEvidence
    )
    {
        Model = model;
        _prior = prior;
        Members = [.. members];
        _seed = seed;
        LogEvidence = logEvidence;
    }

    public ReadingModel Model { get; }

    public ImmutableArray<Unknowns> Members { get; }

    /// <summary>Logarithm of the marginal likelihood of the readings [-].</summary>
    public double LogEvidence { get; }

    /// <summary>Finds the posterior of a fill from its prior.</summary>
    /// <param name="fill">The fill.</param>
    /// <param name="lives">The lives that it may live.</param>
    /// <param name="count">Number of members.</param>
    /// <param name="seed">Seed of the random stream; the same seed gives the same members.</param>
    public static FillPosterior Of(FillCase fill, ImmutableArray<Life> lives, int count, int seed)
    {
        fill.Validate();
        return Of(new ReadingModel(fill, lives), new FillPrior(fill, lives.Length), count, seed);
    }

    /// <summary>Finds the posterior for a prior of the caller's choice.</summary>
    public static FillPosterior Of(ReadingModel model, FillPrior prior, int count, int seed)
    {
        var members = new Unknowns[count];
        for (int m = 0; m < count; m++)
        {
            members[m] = prior.Draw(new Random(SeedOf(seed, 0, m)));
        }

        return Led(model, prior, members, 0, seed);
    }

    /// <summary>Takes up readings that came after those already counted, without starting from nothing.</summary>
    /// <param name="fill">The same fill with more readings behind the others; its meters and prior are the same.</param>
    public FillPosterior With(FillCase fill)
    {
        fill.Validate();
        var model = new ReadingModel(fill, Model.Lives);
        return Led(model, _prior, [.. Members], Model.Count, _seed + 1);
    }

    private static FillPosterior Led(
        ReadingModel model,
        FillPrior prior,
        Unknowns[] members,
        int first,
        int seed
    )
    {
        int count = members.Length;
        var likelihood = new double[count];
        Parallel.For(0, count, m => likelihood[m] = model.LogLikelihood(members[m], first));
        double power = 0;
        double evidence = 0;
        for (int stage = 1; power < 1 && stage <= MaxStages; stage++)
        {
            double step = TemperedSampler.NextStep(likelihood, 1 - power);
            power += step;
            evidence += LogMean(likelihood, step);
            int[] kept = TemperedSampler.Systematic(
                [.. likelihood.Select(l => step * l)],
                count,
                new Random(SeedOf(seed, stage, -1))
            );
            members = [.. kept.Select(k => members[k])];
            likelihood = [.. kept.Select(k => likelihood[k])];
            var mover = new Mover(model, prior, first, power, Spread(members));
            Unknowns[] now = members;
            double[] at = likelihood;
            int round = stage;
            Parallel.For(
                0,
                count,
                m => mover.Move(ref now[m], ref at[m], new Random(SeedOf(seed, round, m)))
            );
        }

        return power >= 1
            ? new FillPosterior(model, prior, members, seed, evidence)
            : throw TemperedSampler.NotReached();
    }

    private static int SeedOf(int seed, int stage, int member) =>
        unchecked(
            (int)(
                2654435761u * (uint)seed
                ^ (2246822519u * (uint)(stage + 1))
                ^ (3266489917u * (uint)(member + 2))
            )
        );

    private static double LogMean(double[] likelihood, double step)
    {
        double top = likelihood.Max();
        return step * top + Math.Log(likelihood.Average(l => Math.Exp(step * (l - top))));
    }

    /// <summary>Standard deviations of the members' numbers [-].</summary>
    private static double[] Spread(Unknowns[] members)
    {
        int size = members[0].Values.Length;
        var spread = new double[size];
        for (int i = 0; i < size; i++)
        {
            double mean = members.Average(m => m.Values[i]);
            spread[i] = Math.Sqrt(members.Average(m => (m.Values[i] - mean) * (m.Values[i] - mean))) + 1e-6;
        }

        return spread;
    }

    /// <summary>Metropolis steps at one power of the likelihood; readings before the first count in full.</summary>
    private sealed class Mover(ReadingModel model, FillPrior prior, int first, double power, double[] spread)
    {
        public void Move(ref Unknowns member, ref double likelihood, Random random)
        {
            double before = first > 0 ? model.LogLikelihood(member, 0, first) : 0;
            for (int sweep = 0; sweep < Sweeps; sweep++)
            {
                Unknowns proposed =
                    sweep % 2 == 0 ? OtherLife(member, random) : OtherNumbers(member, sweep, random);
                double fresh = model.LogLikelihood(proposed, first);
                double known = first > 0 ? model.LogLikelihood(proposed, 0, first) : 0;
                double gain =
                    power * (fresh - likelihood)
                    + known
                    - before
                    + prior.LogDensity(proposed.Values)
                    - prior.LogDensity(member.Values);
                if (Math.Log(1 - random.NextDouble()) < gain)
                {
                    (member, likelihood, before) = (proposed, fresh, known);
                }
            }
        }

        /// <summary>Another life, stretched so that it turns at the same logged volume: a shift, so its Jacobian is 1.</summary>
        private Unknowns OtherLife(Unknowns member, Random random)
        {
            int life = random.Next(model.Lives.Length);
            double[] values = [.. member.Values];
            values[Unknowns.Stretch] += model.Lives[life].LogTurn - model.Lives[member.Life].LogTurn; // eq. forecast-5
            return new Unknowns { Life = life, Values = values };
        }

        private Unknowns OtherNumbers(Unknowns member, int sweep, Random random)
        {
            double scale = 2.38 / Math.Sqrt(spread.Length) * (sweep % 4 == 1 ? 1 : SmallStep);
            double[] values = [.. member.Values];
            for (int i = 0; i < values.Length; i++)
            {
                values[i] += scale * spread[i] * NormalDistribution.Draw(random);
            }

            return new Unknowns { Life = member.Life, Values = values };
        }
    }
}
