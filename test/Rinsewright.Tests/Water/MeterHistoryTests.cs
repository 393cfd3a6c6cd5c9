using CsCheck;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

public sealed class MeterHistoryTests
{
    private static readonly DateTimeOffset Start = new(2026, 1, 1, 0, 0, 0, TimeSpan.Zero);

    private static readonly Gen<(double Day, BenchCheck Check)[]> SomeChecks = Gen.Select(
            Gen.Double[0, 900],
            Gen.Double[5, 500],
            Gen.Double[-20, 20],
            Gen.Double[0.3, 5]
        )
        .Select(
            (day, reference, error, noise) => (day, new BenchCheck(reference, 0, reference + error, noise))
        )
        .Array[1, 6];

    [Fact]
    public void Gain_and_offset_at_any_instant_are_those_of_the_dense_normal_posterior() =>
        Gen.Select(SomeChecks, Gen.Double[-300, 1200])
            .Repeat()
            .Sample(
                (checks, day) =>
                {
                    MeterCalibration known = History(checks).At(Start.AddDays(day));
                    MeterCalibration dense = DensePosterior(checks, day);
                    Assert.Equal(dense.Gain, known.Gain, 1e-8);
                    Assert.Equal(dense.Offset, known.Offset, 1e-7);
                    Assert.Equal(dense.GainVariance, known.GainVariance, 1e-10);
                    Assert.Equal(dense.OffsetVariance, known.OffsetVariance, 1e-7);
                    Assert.Equal(dense.Covariance, known.Covariance, 1e-8);
                }
            );

    [Fact]
    public void A_meter_without_checks_is_an_unchecked_meter() =>
        Assert.Equal(
            MeterCalibration.Unchecked.GainVariance,
            new MeterHistory(MeterDrift.Pocket, []).At(Start).GainVariance,
            1e-15
        );

    [Fact]
    public void A_check_tells_as_much_of_the_day_before_as_of_the_day_after()
    {
        MeterHistory history = History([(100, new BenchCheck(84, 0.8, 90, 0.6))]);
        MeterCalibration before = history.At(Start.AddDays(70));
        MeterCalibration after = history.At(Start.AddDays(130));
        Assert.Equal(before.Gain, after.Gain, 1e-12);
        Assert.Equal(before.OffsetVariance, after.OffsetVariance, 1e-12);
        Assert.True(
            before.Predict(84, 0).StandardDeviation
                > history.At(Start.AddDays(100)).Predict(84, 0).StandardDeviation
        );
    }

    [Fact]
    public void A_check_long_ago_tells_nothing()
    {
        MeterCalibration late = History([(0, new BenchCheck(84, 0.8, 120, 0.6))]).At(Start.AddYears(40));
        Assert.Equal(1, late.Gain, 1e-6);
        Assert.Equal(MeterCalibration.Unchecked.OffsetVariance, late.OffsetVariance, 1e-6);
    }

    // Gain 1 ± 0.05 of 100, offset ± 2, the solution ± 3 and the reading ± 4: variances of 25, 4, 9 and 16.
    [Fact]
    public void A_surprise_counts_everything_that_is_uncertain() =>
        Assert.Equal(12 / Math.Sqrt(54), History([]).Surprise(Start, new BenchCheck(100, 3, 112, 4)), 1e-12);

    [Fact]
    public void A_check_that_contradicts_the_others_surprises_most_and_without_it_none_does()
    {
        (double Day, BenchCheck Check)[] good =
        [
            (0, new BenchCheck(84, 0.8, 86, 0.6)),
            (30, new BenchCheck(84, 0.8, 86.4, 0.6)),
            (90, new BenchCheck(84, 0.8, 86.8, 0.6)),
            (120, new BenchCheck(84, 0.8, 87, 0.6)),
        ];
        var wrong = new BenchCheck(84, 0.8, 131, 0.6);
        MeterHistory all = History([.. good, (60, wrong)]);
        double[] surprises = [.. Enumerable.Range(0, 5).Select(i => Math.Abs(all.Surprise(i)))];
        Assert.Equal(surprises.Max(), surprises[2]);

        MeterHistory without = History(good);
        Assert.InRange(without.Surprise(Start.AddDays(60), wrong), 10, 60);
        Assert.Equal(all.Surprise(2), without.Surprise(Start.AddDays(60), wrong), 1e-9);
        Assert.All(Enumerable.Range(0, 4), i => Assert.InRange(Math.Abs(without.Surprise(i)), 0, 3));
    }

    private static MeterHistory History(IEnumerable<(double Day, BenchCheck Check)> checks) =>
        new(MeterDrift.Pocket, checks.Select(c => (Start.AddDays(c.Day), c.Check)));

    /// <summary>All checks at once: mean and covariance of the state given the readings, by the normal equations.</summary>
    private static MeterCalibration DensePosterior((double Day, BenchCheck Check)[] checks, double day)
    {
        MeterCalibration usual = MeterCalibration.Unchecked;
        int n = checks.Length;
        double[,] readings = new double[n, n];
        double[] surprise = new double[n];
        double[] gain = new double[n];
        double[] offset = new double[n];
        for (int i = 0; i < n; i++)
        {
            BenchCheck check = checks[i].Check;
            surprise[i] = check.Reading - usual.Gain * check.Reference - usual.Offset;
            gain[i] = Kept(checks[i].Day, day) * usual.GainVariance * check.Reference;
            offset[i] = Kept(checks[i].Day, day) * usual.OffsetVariance;
            for (int j = 0; j < n; j++)
            {
                readings[i, j] =
                    Kept(checks[i].Day, checks[j].Day)
                    * (
                        usual.GainVariance * check.Reference * checks[j].Check.Reference
                        + usual.OffsetVariance
                    );
            }

            readings[i, i] += check.ReadingUncertainty * check.ReadingUncertainty;
        }

        double[] ofSurprise = Solve(readings, surprise);
        double[] ofGain = Solve(readings, gain);
        double[] ofOffset = Solve(readings, offset);
        return new MeterCalibration(
            usual.Gain + Dot(gain, ofSurprise),
            usual.Offset + Dot(offset, ofSurprise),
            usual.GainVariance - Dot(gain, ofGain),
            usual.OffsetVariance - Dot(offset, ofOffset),
            -Dot(gain, ofOffset)
        );
    }

    private static double Kept(double a, double b) => Math.Exp(-Math.Abs(a - b) / 730);

    private static double Dot(double[] a, double[] b) => a.Zip(b, (x, y) => x * y).Sum();

    private static double[] Solve(double[,] matrix, double[] right)
    {
        int n = right.Length;
        double[,] a = (double[,])matrix.Clone();
        double[] x = (double[])right.Clone();
        for (int k = 0; k < n; k++)
        {
            for (int i = k + 1; i < n; i++)
            {
                double factor = a[i, k] / a[k, k];
                for (int j = k; j < n; j++)
                {
                    a[i, j] -= factor * a[k, j];
                }

                x[i] -= factor * x[k];
            }
        }

        for (int i = n - 1; i >= 0; i--)
        {
            for (int j = i + 1; j < n; j++)
            {
                x[i] -= a[i, j] * x[j];
            }

            x[i] /= a[i, i];
        }

        return x;
    }
}
