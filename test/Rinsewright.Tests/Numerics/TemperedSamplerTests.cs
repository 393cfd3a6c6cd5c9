using Rinsewright.Numerics;

namespace Rinsewright.Tests.Numerics;

public sealed class TemperedSamplerTests
{
    [Fact]
    public void What_has_no_likelihood_is_not_drawn_and_spoils_nothing()
    {
        var sampler = new TemperedSampler(
            [0],
            [1],
            x => x[0] > 0 ? double.NaN : -8 * x[0] * x[0],
            new Random(1)
        );
        double[] drawn = [.. sampler.Draw(400, 6).Select(x => x[0])];
        Assert.True(sampler.IsReached);
        Assert.All(drawn, x => Assert.True(x <= 0));
        Assert.True(drawn.Distinct().Count() > 300);
        Assert.InRange(drawn.Average(x => x * x), 0.8 / 17, 1.2 / 17);
    }

    [Fact]
    public void A_likelihood_that_is_no_number_anywhere_is_not_reached_and_leaves_the_prior()
    {
        var sampler = new TemperedSampler([3], [1], _ => double.NaN, new Random(1));
        double[] drawn = [.. sampler.Draw(400, 2).Select(x => x[0])];
        Assert.False(sampler.IsReached);
        Assert.InRange(drawn.Average(), 2.8, 3.2);
        Assert.Throws<InvalidOperationException>(() => sampler.DrawInFull(400, 2));
    }

    [Fact]
    public void Weights_that_are_no_numbers_do_not_count()
    {
        int[] kept = TemperedSampler.Systematic(
            [double.NaN, 0, double.NegativeInfinity, 0],
            100,
            new Random(1)
        );
        Assert.Equal(50, kept.Count(k => k == 1));
        Assert.Equal(50, kept.Count(k => k == 3));
        Assert.Equal(
            [0, 1, 2],
            TemperedSampler.Systematic([double.NaN, double.NaN, double.NaN], 3, new Random(1))
        );
    }
}
