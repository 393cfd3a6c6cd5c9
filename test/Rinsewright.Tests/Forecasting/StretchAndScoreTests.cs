using Rinsewright.Forecasting;
using Rinsewright.Numerics;

namespace Rinsewright.Tests.Forecasting;

public sealed class StretchAndScoreTests
{
    [Fact]
    public void A_rig_without_a_past_has_the_usual_stretch()
    {
        StretchPrior found = StretchPrior.After([]);
        Assert.Equal(StretchPrior.Usual.Mean, found.Mean, 1e-12);
        Assert.Equal(StretchPrior.Usual.Sd, found.Sd, 1e-12);
    }

    /// <summary>Against brute-force integration over the rig's mean.</summary>
    [Fact]
    public void Earlier_fills_teach_as_quadrature_says()
    {
        (double Mean, double Sd)[] earlier = [(0.25, 0.05), (0.18, 0.1), (0.3, 0.2)];
        double mass = 0;
        double first = 0;
        double second = 0;
        for (double mu = -1.5; mu <= 1.5; mu += 1e-4)
        {
            double log = -0.5 * Math.Pow((mu - 0.03) / 0.2, 2);
            foreach ((double mean, double sd) in earlier)
            {
                double variance = sd * sd + StretchPrior.BetweenFills * StretchPrior.BetweenFills;
                log -= 0.5 * (mean - mu) * (mean - mu) / variance;
            }

            double weight = Math.Exp(log);
            mass += weight;
            first += weight * mu;
            second += weight * mu * mu;
        }

        double expected = first / mass;
        double spread = second / mass - expected * expected;
        StretchPrior found = StretchPrior.After(earlier);
        Assert.Equal(expected, found.Mean, 1e-6);
        Assert.Equal(
            Math.Sqrt(spread + StretchPrior.BetweenFills * StretchPrior.BetweenFills),
            found.Sd,
            1e-6
        );
    }

    /// <summary>Closed form for a normal forecast (key gneiting2007, section 4.2).</summary>
    [Theory]
    [InlineData(0)]
    [InlineData(0.7)]
    [InlineData(-2.5)]
    public void Score_of_a_normal_forecast_is_its_closed_form(double truth)
    {
        double[] members = [.. Enumerable.Range(0, 20_000).Select(i => Normal.Quantile((i + 0.5) / 20_000))];
        double expected =
            truth * (2 * NormalDistribution.Probability(truth) - 1)
            + 2 * NormalDistribution.Density(truth)
            - 1 / Math.Sqrt(Math.PI);
        Assert.Equal(expected, Scores.Crps(members, truth), 1e-3);
    }

    [Fact]
    public void Score_of_one_number_is_its_distance_and_its_rank_counts_what_lies_below()
    {
        Assert.Equal(3, Scores.Crps([5], 8), 1e-12);
        Assert.Equal(0.75, Scores.Rank([1, 2, 3, 4], 3.5));
        Assert.Equal(0.5, Scores.Rank([0, 0], 0));
        Assert.Throws<ArgumentException>(() => Scores.Crps([], 1));
    }
}
