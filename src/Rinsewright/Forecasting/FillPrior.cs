using Rinsewright.Numerics;

namespace Rinsewright.Forecasting;

/// <summary>Independent normal priors of a fill's numbers, and all lives alike.</summary>
internal sealed class FillPrior
{
    private const double BypassMean = -5.8; // ln 0.003, our choice
    private const double BypassSd = 1;
    private const double DriftSd = 0.15; // a year, our choice

    private readonly int _lives;

    public FillPrior(FillCase fill, int lives)
    {
        _lives = lives;
        Mean =
        [
            fill.Stretch.Mean,
            BypassMean,
            0,
            .. fill.Meters.SelectMany(m => (double[])[Math.Log(m.Gain), m.Offset]),
        ];
        Sd =
        [
            fill.Stretch.Sd,
            BypassSd,
            DriftSd,
            .. fill.Meters.SelectMany(m => (double[])[m.GainSd, m.OffsetSd]),
        ];
    }

    public double[] Mean { get; }

    public double[] Sd { get; }

    public Unknowns Draw(Random random)
    {
        var values = new double[Mean.Length];
        int life = random.Next(_lives);
        for (int i = 0; i < values.Length; i++)
        {
            values[i] = Mean[i] + Sd[i] * NormalDistribution.Draw(random);
        }

        return new Unknowns { Life = life, Values = values };
    }

    /// <summary>Logarithm of the density, without its constant [-].</summary>
    public double LogDensity(ReadOnlySpan<double> values)
    {
        double sum = 0;
        for (int i = 0; i < values.Length; i++)
        {
            double z = (values[i] - Mean[i]) / Sd[i];
            sum -= 0.5 * z * z;
        }

        return sum;
    }
}
