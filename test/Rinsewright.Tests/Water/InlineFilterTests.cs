using CsCheck;
using Rinsewright.Numerics;
using Rinsewright.Tests.Evidence;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

public sealed class InlineFilterTests : IEvidenceSet
{
    private static readonly DateTimeOffset Start = new(2027, 3, 1, 8, 0, 0, TimeSpan.Zero);

    private static readonly Gen<double[]> SomeValues = Gen.Double[-1e3, 1e3].Array[1, 60];

    public IEnumerable<EvidenceRow> Rows()
    {
        double[] copper =
        [
            .. DataTable
                .Read("data/published/robust/copper_in_flour.csv")
                .Rows.Select(r => r.Number("copper_mg_kg")),
        ];
        RobustLevel level = InlineFilter.LevelOf(copper);
        yield return new EvidenceRow(
            "inline",
            "median of 24 determinations with one of ten times the rest",
            EvidenceKind.Published,
            "amc1989",
            1,
            Math.Abs(level.Median - 3.385),
            0.0005,
            "mg/kg",
            "printed median (maronna2019, from memory), half its last digit"
        );
        yield return new EvidenceRow(
            "inline",
            "scaled median absolute deviation of the same",
            EvidenceKind.Published,
            "maronna2019",
            1,
            Math.Abs(level.Spread - 0.53),
            0.005,
            "mg/kg",
            "printed value, from memory, half its last digit"
        );
        var random = new Random(11);
        double[] normal = [.. Enumerable.Range(0, 200_001).Select(_ => NormalDistribution.Draw(random))];
        yield return new EvidenceRow(
            "inline",
            "spread of normal values is their standard deviation",
            EvidenceKind.Identity,
            "identity",
            normal.Length,
            100 * Math.Abs(InlineFilter.LevelOf(normal).Spread - 1),
            1,
            "%",
            "200 001 values: the spread's own standard error is 0.26 %"
        );
    }

    [Fact]
    public void The_one_determination_that_is_ten_times_the_rest_is_a_spike_and_so_is_the_second_farthest()
    {
        double[] copper =
        [
            .. DataTable
                .Read("data/published/robust/copper_in_flour.csv")
                .Rows.Select(r => r.Number("copper_mg_kg")),
        ];
        Assert.Equal([5.28, 28.95], Spikes(copper, new InlineFilter(TimeSpan.FromDays(1), 3, 0, 0)));
    }

    [Fact]
    public void Median_and_spread_follow_a_change_of_unit() =>
        Gen.Select(SomeValues, Gen.Double[-50, 50], Gen.Double[-100, 100])
            .Repeat()
            .Sample(
                (values, scale, shift) =>
                {
                    RobustLevel before = InlineFilter.LevelOf(values);
                    RobustLevel after = InlineFilter.LevelOf([.. values.Select(v => (scale * v) + shift)]);
                    Assert.Equal((scale * before.Median) + shift, after.Median, 1e-8);
                    Assert.Equal(Math.Abs(scale) * before.Spread, after.Spread, 1e-8);
                }
            );

    [Fact]
    public void Fewer_than_half_the_values_can_be_anything_and_the_median_stays_among_the_rest() =>
        Gen.Select(Gen.Double[10, 20].Array[4, 30], Gen.Double[-1e9, 1e9].Array[0, 30])
            .Where((good, bad) => bad.Length < good.Length)
            .Repeat()
            .Sample(
                (good, bad) =>
                    Assert.InRange(
                        InlineFilter.LevelOf([.. bad, .. good]).Median,
                        good.Min() - 1e-9,
                        good.Max() + 1e-9
                    )
            );

    [Fact]
    public void Spikes_put_into_a_known_water_are_found_and_its_clean_level_is_the_truth()
    {
        var random = new Random(5);
        double[] truth = [.. Minutes(240).Select(m => 3 + (0.002 * m))];
        double[] seen = [.. truth.Select(t => t + (0.03 * NormalDistribution.Draw(random)))];
        int[] wrong = [.. Minutes(240).Where(m => m % 9 == 4)];
        foreach (int i in wrong)
        {
            seen[i] = i % 2 == 0 ? 40 : 0;
        }

        var spikes = InlineFilter.Usual.SpikesOf(At(seen.Length), seen);
        Assert.All(wrong, i => Assert.True(spikes[i], $"spike {i} was not found"));
        int falsely = Minutes(240).Count(i => spikes[i] && !wrong.Contains(i));
        Assert.True(falsely <= 12, $"{falsely} good values were dropped, more than one in twenty");
        for (int hour = 0; hour < 4; hour++)
        {
            double[] clean = [.. Enumerable.Range(60 * hour, 60).Where(i => !spikes[i]).Select(i => seen[i])];
            RobustLevel level = InlineFilter.LevelOf(clean);
            // The water itself moves by 0.12 in an hour; its own middle is the truth.
            double middle = 3 + (0.002 * ((60 * hour) + 29.5));
            Assert.True(Math.Abs(level.Median - middle) < 4 * level.StandardError, $"hour {hour}: {level}");
        }
    }

    [Fact]
    public void A_step_of_the_water_is_no_spike()
    {
        double[] step = [.. Minutes(60).Select(m => m < 30 ? 2.0 : 9.0)];
        Assert.Empty(Spikes(step, InlineFilter.Usual));
    }

    [Fact]
    public void One_step_of_a_display_is_no_spike_among_equal_values()
    {
        double[] display = [.. Minutes(30).Select(m => m == 15 ? 4.0 : 3.0)];
        Assert.Equal([4.0], Spikes(display, InlineFilter.Usual));
        Assert.Empty(Spikes(display, InlineFilter.Usual with { Floor = 0.5 }));
    }

    [Fact]
    public void With_fewer_than_five_neighbours_nothing_is_a_spike()
    {
        DateTimeOffset[] hourly = [.. Enumerable.Range(0, 9).Select(h => Start.AddHours(h))];
        Assert.DoesNotContain(true, InlineFilter.Usual.SpikesOf(hourly, [1, 1, 1, 1, 900, 1, 1, 1, 1]));
    }

    [Fact]
    public void Neighbours_at_the_very_ends_of_the_span_count()
    {
        DateTimeOffset[] five = [.. ((double[])[-5, -2.5, 0, 2.5, 5]).Select(m => Start.AddMinutes(m))];
        Assert.Equal(
            [false, false, true, false, false],
            InlineFilter.Usual.SpikesOf(five, [1, 1, 900, 1, 1]).ToArray()
        );
    }

    [Fact]
    public void What_lies_farther_than_the_span_is_no_neighbour()
    {
        double[] level = [.. Minutes(20).Select(m => m < 10 ? 1.0 : 9.0)];
        Assert.Empty(Spikes([.. level, .. level], InlineFilter.Usual));
    }

    [Fact]
    public void Equal_values_are_believed_to_scatter_by_a_hundredth()
    {
        Assert.Empty(Spikes([10, 10, 10.29, 10, 10], InlineFilter.Usual));
        Assert.Equal([10.31], Spikes([10, 10, 10.31, 10, 10], InlineFilter.Usual));
    }

    // Of normal values the median's standard error is 1.2533 times the mean's (common knowledge of statistics).
    [Fact]
    public void The_standard_error_of_a_median_falls_with_the_root_of_the_count() =>
        Assert.Equal(1.2533 * 3 / 10, new RobustLevel(5, 3, 100).StandardError, 1e-4);

    [Fact]
    public void Values_out_of_the_order_of_time_are_refused()
    {
        Assert.Throws<ArgumentException>(() =>
            InlineFilter.Usual.SpikesOf([Start, Start.AddMinutes(-1)], [1, 1])
        );
        Assert.Throws<ArgumentException>(() => InlineFilter.Usual.SpikesOf([Start], [1, 1]));
        Assert.Throws<ArgumentException>(() => InlineFilter.LevelOf([]));
        Assert.Equal([false, false], InlineFilter.Usual.SpikesOf([Start, Start], [1, 1]).ToArray());
    }

    private static IEnumerable<int> Minutes(int count) => Enumerable.Range(0, count);

    private static DateTimeOffset[] At(int count) => [.. Minutes(count).Select(m => Start.AddMinutes(m))];

    private static IEnumerable<double> Spikes(double[] values, InlineFilter filter) =>
        filter
            .SpikesOf(At(values.Length), values)
            .Select((isSpike, i) => (isSpike, values[i]))
            .Where(s => s.isSpike)
            .Select(s => s.Item2);
}
