namespace Rinsewright.Numerics;

/// <summary>
/// Draws from a normal prior times a likelihood by sequential Monte Carlo: the likelihood is raised from power 0 to 1 in
/// steps that leave half the effective sample size, and between them members are resampled and moved by Metropolis steps
/// with the members' own covariance.
/// </summary>
internal sealed class TemperedSampler(
    double[] mean,
    double[] factor,
    Func<double[], double> logLikelihood,
    Random random
)
{
    private const int MaxStages = 60;
    private const double KeptFraction = 0.5;

    private readonly int _size = mean.Length;

    /// <summary>Whether the last draw came to the full likelihood; its members are else those of a weaker one.</summary>
    public bool IsReached { get; private set; }

    /// <summary>Members of equal weight.</summary>
    /// <param name="count">How many.</param>
    /// <param name="moves">Metropolis steps of every member after each resampling.</param>
    public IReadOnlyList<double[]> Draw(int count, int moves)
    {
        var members = new double[count][];
        var likelihood = new double[count];
        for (int m = 0; m < count; m++)
        {
            members[m] = Prior();
            likelihood[m] = LogLikelihood(members[m]);
        }

        double power = 0;
        for (int stage = 0; power < 1 && stage < MaxStages; stage++)
        {
            double step = NextStep(likelihood, 1 - power);
            power += step;
            Resample(members, likelihood, step);
            double[] spread = Spread(members);
            for (int move = 0; move < moves; move++)
            {
                for (int m = 0; m < count; m++)
                {
                    Move(ref members[m], ref likelihood[m], spread, power);
                }
            }
        }

        IsReached = power >= 1;
        return members;
    }

    /// <summary>Members of equal weight of the full likelihood, as <see cref="Draw"/>.</summary>
    /// <param name="count">How many.</param>
    /// <param name="moves">Metropolis steps of every member after each resampling.</param>
    /// <exception cref="InvalidOperationException">The draw did not come to the full likelihood.</exception>
    public IReadOnlyList<double[]> DrawInFull(int count, int moves)
    {
        IReadOnlyList<double[]> members = Draw(count, moves);
        return IsReached ? members : throw NotReached();
    }

    /// <summary>Numerics that ended before the likelihood was raised to power 1.</summary>
    internal static InvalidOperationException NotReached() =>
        new(
            "What was read contradicts what it can be so strongly that it was not taken into account in full."
        );

    /// <summary>Of a weight that is no number nothing is known but that it must not count.</summary>
    private static double OrNone(double logWeight) =>
        double.IsNaN(logWeight) ? double.NegativeInfinity : logWeight;

    private double LogLikelihood(double[] x) => OrNone(logLikelihood(x));

    private static double EffectiveFraction(ReadOnlySpan<double> likelihood, double step)
    {
        double top = double.NegativeInfinity;
        foreach (double l in likelihood)
        {
            top = Math.Max(top, OrNone(l));
        }

        if (double.IsNegativeInfinity(top))
        {
            return 0;
        }

        double sum = 0;
        double squares = 0;
        foreach (double l in likelihood)
        {
            double w = Math.Exp(step * (OrNone(l) - top));
            sum += w;
            squares += w * w;
        }

        return sum * sum / squares / likelihood.Length;
    }

    /// <summary>The longest step of power, up to what is left, that keeps half the effective sample size [-].</summary>
    /// <param name="likelihood">Logarithms of the members' likelihoods [-].</param>
    /// <param name="left">Power left to 1 [-].</param>
    internal static double NextStep(double[] likelihood, double left)
    {
        if (EffectiveFraction(likelihood, left) >= KeptFraction)
        {
            return left;
        }

        double low = 0;
        double high = left;
        for (int i = 0; i < 40; i++)
        {
            double middle = 0.5 * (low + high);
            (low, high) =
                EffectiveFraction(likelihood, middle) >= KeptFraction ? (middle, high) : (low, middle);
        }

        return Math.Max(low, 1e-9 * left);
    }

    private double[] Prior()
    {
        var noise = new double[_size];
        for (int i = 0; i < _size; i++)
        {
            noise[i] = NormalDistribution.Draw(random);
        }

        var x = new double[_size];
        for (int r = 0; r < _size; r++)
        {
            x[r] = mean[r];
            for (int c = 0; c <= r; c++)
            {
                x[r] += factor[r * _size + c] * noise[c];
            }
        }

        return x;
    }

    private double LogPrior(double[] x)
    {
        Span<double> z = stackalloc double[_size];
        double log = 0;
        for (int r = 0; r < _size; r++)
        {
            z[r] = x[r] - mean[r];
            for (int c = 0; c < r; c++)
            {
                z[r] -= factor[r * _size + c] * z[c];
            }

            z[r] /= factor[r * _size + r];
            log -= 0.5 * z[r] * z[r];
        }

        return log;
    }

    /// <summary>Systematic resampling: indices of the members kept, each as often as its weight says.</summary>
    /// <param name="logWeights">Logarithms of the weights [-].</param>
    /// <param name="count">How many to keep.</param>
    /// <param name="random">A seeded stream.</param>
    public static int[] Systematic(ReadOnlySpan<double> logWeights, int count, Random random)
    {
        double top = double.NegativeInfinity;
        foreach (double log in logWeights)
        {
            top = Math.Max(top, OrNone(log));
        }

        var weight = new double[logWeights.Length];
        double sum = 0;
        for (int m = 0; m < weight.Length; m++)
        {
            weight[m] = double.IsNegativeInfinity(top) ? 1 : Math.Exp(OrNone(logWeights[m]) - top);
            sum += weight[m];
        }

        double share = sum / count;
        double place = random.NextDouble() * share;
        double reached = weight[0];
        int from = 0;
        var kept = new int[count];
        for (int k = 0; k < count; k++, place += share)
        {
            while (reached < place && from < weight.Length - 1)
            {
                reached += weight[++from];
            }

            kept[k] = from;
        }

        return kept;
    }

    private void Resample(double[][] members, double[] likelihood, double step)
    {
        double[][] old = [.. members];
        double[] oldLikelihood = [.. likelihood];
        int[] kept = Systematic([.. likelihood.Select(l => step * l)], members.Length, random);
        for (int m = 0; m < members.Length; m++)
        {
            members[m] = old[kept[m]];
            likelihood[m] = oldLikelihood[kept[m]];
        }
    }

    /// <summary>Factor of the members' covariance, scaled for Metropolis steps (Roberts, Gelman and Gilks 1997).</summary>
    private double[] Spread(double[][] members)
    {
        double[] centre = [.. Enumerable.Range(0, _size).Select(i => members.Average(m => m[i]))];
        var covariance = new double[_size * _size];
        double scale = 2.38 * 2.38 / _size / members.Length;
        foreach (double[] member in members)
        {
            for (int r = 0; r < _size; r++)
            {
                for (int c = 0; c < _size; c++)
                {
                    covariance[r * _size + c] += scale * (member[r] - centre[r]) * (member[c] - centre[c]);
                }
            }
        }

        for (int i = 0; i < _size; i++)
        {
            covariance[i * _size + i] += 1e-10;
        }

        return DenseMatrix.Cholesky(covariance, _size) ? covariance : factor;
    }

    private void Move(ref double[] member, ref double likelihood, double[] spread, double power)
    {
        Span<double> noise = stackalloc double[_size];
        for (int i = 0; i < _size; i++)
        {
            noise[i] = NormalDistribution.Draw(random);
        }

        double[] proposal = [.. member];
        for (int r = 0; r < _size; r++)
        {
            for (int c = 0; c <= r; c++)
            {
                proposal[r] += spread[r * _size + c] * noise[c];
            }
        }

        double proposed = LogLikelihood(proposal);
        double gain = power * (proposed - likelihood) + LogPrior(proposal) - LogPrior(member);
        if (Math.Log(1 - random.NextDouble()) < gain)
        {
            member = proposal;
            likelihood = proposed;
        }
    }
}
