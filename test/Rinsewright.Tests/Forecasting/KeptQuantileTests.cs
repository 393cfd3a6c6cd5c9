using Rinsewright.Forecasting;
using Rinsewright.Numerics;
using Rinsewright.Treatment;

namespace Rinsewright.Tests.Forecasting;

/// <summary>Scores of forecasts that are kept as quantiles, against truths that are known only within bounds.</summary>
public sealed class KeptQuantileTests
{
    private const int Many = 20_000;

    /// <summary>Quantiles of a normal forecast; the ends stand for the tails that are cut off.</summary>
    private static double[] NormalQuantiles(int count, double mean = 0, double sd = 1) =>
        [
            .. Enumerable
                .Range(0, count)
                .Select(i => mean + sd * Normal.Quantile(Math.Clamp(i / (count - 1.0), 1e-9, 1 - 1e-9))),
        ];

    /// <summary>Integral of the square of the normal distribution up to a value, by parts.</summary>
    private static double SquareUpTo(double value)
    {
        double share = NormalDistribution.Probability(value);
        return value * share * share
            + 2 * NormalDistribution.Density(value) * share
            - NormalDistribution.Probability(Math.Sqrt(2) * value) / Math.Sqrt(Math.PI);
    }

    /// <summary>Closed form for a normal forecast (key gneiting2007, section 4.2).</summary>
    [Theory]
    [InlineData(0)]
    [InlineData(0.7)]
    [InlineData(-2.5)]
    [InlineData(6)]
    public void Score_of_normal_quantiles_is_the_closed_form(double truth)
    {
        double expected =
            truth * (2 * NormalDistribution.Probability(truth) - 1)
            + 2 * NormalDistribution.Density(truth)
            - 1 / Math.Sqrt(Math.PI);
        Assert.Equal(expected, Scores.Crps(NormalQuantiles(Many), truth, truth), 1e-3);
    }

    [Theory]
    [InlineData(-1)]
    [InlineData(0.4)]
    [InlineData(2)]
    public void A_truth_beyond_a_bound_is_charged_for_what_lies_below_it(double bound) =>
        Assert.Equal(
            SquareUpTo(bound),
            Scores.Crps(NormalQuantiles(Many), bound, double.PositiveInfinity),
            1e-3
        );

    /// <summary>Above the upper bound it is the integral of the square of what is left, which mirrors that below the lower one.</summary>
    [Theory]
    [InlineData(-1, 0.5)]
    [InlineData(0.2, 0.2)]
    public void A_truth_between_two_bounds_is_charged_for_what_lies_outside(double least, double most) =>
        Assert.Equal(
            SquareUpTo(least) + SquareUpTo(-most),
            Scores.Crps(NormalQuantiles(Many), least, most),
            1e-3
        );

    [Theory]
    [InlineData(-1, 0.5)]
    [InlineData(0.2, 3)]
    [InlineData(0.4, double.PositiveInfinity)]
    public void The_score_between_bounds_is_no_more_than_that_of_any_truth_between_them(
        double least,
        double most
    )
    {
        double[] forecast = NormalQuantiles(401);
        double bounded = Scores.Crps(forecast, least, most);
        for (double truth = least; truth <= Math.Min(most, 6); truth += 0.05)
        {
            Assert.InRange(bounded, 0, Scores.Crps(forecast, truth, truth));
        }
    }

    /// <summary>A forecaster who knows the distribution fares better than one who is early, late, narrow or wide.</summary>
    [Theory]
    [InlineData(-0.5, 1)]
    [InlineData(0.5, 1)]
    [InlineData(0, 0.6)]
    [InlineData(0, 1.6)]
    public void The_score_is_proper_for_truths_that_are_known(double mean, double sd)
    {
        double[] truths = NormalQuantiles(2001);
        double Expected(double[] forecast) => truths.Average(t => Scores.Crps(forecast, t, t));
        Assert.True(Expected(NormalQuantiles(401)) < Expected(NormalQuantiles(401, mean, sd)));
    }

    [Fact]
    public void As_many_quantiles_as_are_kept_score_within_a_hundredth_of_their_members()
    {
        double[] members =
        [
            .. Enumerable.Range(0, 1000).Select(i => Math.Exp(Normal.Quantile((i + 0.5) / 1000))),
        ];
        double[] kept = [.. Enumerable.Range(0, 41).Select(i => Band.Quantile(members, i / 40.0))];
        foreach (double truth in (double[])[0.2, 1, 3, 9])
        {
            double exact = Scores.Crps(members, truth);
            Assert.Equal(exact, Scores.Crps(kept, truth, truth), 0.01 * exact + 0.002);
        }
    }

    [Fact]
    public void Quantiles_that_fall_together_are_a_share_of_their_own()
    {
        double[] quantiles = [0, 0, 0, 10, 20];
        Assert.Equal(new TruthPlace(0, 0.5), Scores.Place(quantiles, 0, 0));
        Assert.Equal(new TruthPlace(0.625, 0.625), Scores.Place(quantiles, 5, 5));
        Assert.Equal(new TruthPlace(0.75, 1), Scores.Place(quantiles, 10, double.PositiveInfinity));
        Assert.Equal(new TruthPlace(1, 1), Scores.Place(quantiles, 30, 30));
        Assert.Equal(new TruthPlace(0, 0), Scores.Place([1, 2], 0.5, 0.5));
        // Half at 0 and evenly from there to 20: E|X − 0| − ½ E|X − X'|, by hand.
        double[] half = [0, 0, 20];
        Assert.Equal(5 - 0.5 * (0.5 * 10 + 0.25 * 20 / 3), Scores.Crps(half, 0, 0), 1e-12);
    }

    [Fact]
    public void Truths_are_even_within_their_places()
    {
        var place = new TruthPlace(0.2, 0.6);
        Assert.Equal(0, place.InLower(0.1));
        Assert.Equal(0.25, place.InLower(0.3), 1e-12);
        Assert.Equal(1, place.InLower(0.7));
        Assert.Equal(0, new TruthPlace(0.5, 0.5).InLower(0.4));
        Assert.Equal(0.5, new TruthPlace(0.5, 0.5).InLower(0.5));
        Assert.Equal(1, new TruthPlace(0.5, 0.5).InLower(0.6));
    }

    [Fact]
    public void Quantiles_and_bounds_out_of_order_are_refused()
    {
        Assert.Throws<ArgumentException>(() => Scores.Crps([1], 1, 1));
        Assert.Throws<ArgumentException>(() => Scores.Crps([2, 1], 1, 1));
        Assert.Throws<ArgumentException>(() => Scores.Crps([1, double.PositiveInfinity], 1, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => Scores.Crps([1, 2], 2, 1));
    }
}
