using CsCheck;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

public sealed class MeterTests
{
    // Standard Methods 2510 B (key standardmethods): 1321 uS/cm at 25.5 degC is 1308.5 at 25 degC by 1.91 %/degC.
    [Fact]
    public void Linear_compensation_meets_the_standards_example() =>
        Assert.Equal(1308.5, Compensation.Linear(1.91).To25(0.1321, 298.65) * 1e4, 0.1);

    // ISO 7888 (key iso7888): f25 at 20 degC 1.116, at 10 degC 1.428.
    [Theory]
    [InlineData(20, 1.116)]
    [InlineData(10, 1.428)]
    [InlineData(25, 1.000)]
    [InlineData(12.5, 1.337)]
    [InlineData(34.5, 0.8295)]
    [InlineData(38, 0.822)]
    public void Natural_water_compensation_has_the_factors_of_the_standard(double celsius, double factor) =>
        Assert.Equal(factor, Compensation.NaturalWater.To25(1, celsius + 273.15), 4);

    [Fact]
    public void Every_compensation_is_undone_by_its_inverse() =>
        Gen.Select(Gen.Double[1e-5, 1], Gen.Double[273.15, 309])
            .Repeat()
            .Sample(
                (conductivity, kelvin) =>
                    Assert.All(
                        [
                            Compensation.None,
                            Compensation.NaturalWater,
                            Compensation.Ultrapure,
                            Compensation.Linear(2),
                        ],
                        c => Assert.Equal(conductivity, c.From25(c.To25(conductivity, kelvin), kelvin), 1e-12)
                    )
            );

    [Fact]
    public void Ultrapure_compensation_shows_pure_water_as_0_055_at_any_temperature() =>
        Assert.All(
            [278.15, 288.15, 298.15, 308.15],
            t =>
                Assert.Equal(0.055, Compensation.Ultrapure.To25(Compensation.OfPureWater(t), t) * 1e4, 0.0001)
        );

    [Fact]
    public void A_slope_out_of_range_is_refused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => Compensation.Linear(4));
        Assert.Throws<ArgumentOutOfRangeException>(() => Compensation.Linear(-0.1));
        Assert.Equal(0.02, Compensation.Linear(0).To25(0.02, 285), 1e-15);
    }

    // Key light2005, from memory: 0.02312 uS/cm at 10 degC, 0.04205 at 20, 0.07096 at 30. Tolerance 1 %: other mobilities.
    [Theory]
    [InlineData(10, 0.02312)]
    [InlineData(20, 0.04205)]
    [InlineData(30, 0.07096)]
    public void Pure_water_conducts_as_published(double celsius, double expected) =>
        Assert.Equal(
            expected,
            Compensation.OfPureWater(celsius + PhysicalConstants.ZeroCelsius) * 1e4,
            0.01 * expected
        );

    // Standard Methods 2510 A (key standardmethods, from memory): 578.2 uS/cm at infinite dilution in its example, times the square of
    // its activity coefficient, which it rounds from 0.914 to 0.91 and so comes to 478.8.
    [Fact]
    public void The_quick_conductance_is_that_of_the_standards_rule() =>
        Assert.Equal(
            578.2 * Math.Pow(10, -((0.08753 / 1.08753) - (0.3 * 0.007661))),
            QuickConductance.At25([
                55 / 20.039,
                12 / 12.1525,
                28 / 22.990,
                3.2 / 39.098,
                170 / 61.017,
                20 / 35.453,
                77 / 48.03,
                0,
            ]),
            0.5
        );

    // 0.01 mol/L NaCl conducts about 1180 uS/cm (key chambers1956): a factor of 0.5 shows 590 ppm.
    [Fact]
    public void A_meter_shows_conductivity_times_its_factor_rounded_to_its_step()
    {
        var meter = new Meter(Compensation.Linear(2), 0.5, Resolution: 10);
        Assert.Equal(590, meter.Reading(0.1184, 298.15), 9);
        var worn = new Meter(Compensation.None, 0.5, Gain: 1.1, Offset: 4, Resolution: 1);
        Assert.Equal(57, worn.Reading(0.01, 298.15), 9);
        Assert.Equal(0.01, worn.Compensated(57), 9);
        Assert.Equal(57.145, (worn with { Resolution = 0 }).Reading(0.010026363636, 298.15), 1e-6);
    }

    [Fact]
    public void Checks_in_a_batch_give_the_least_squares_answer_when_nothing_was_known()
    {
        var vague = new MeterCalibration(1, 0, 1e6, 1e9, 0);
        MeterCalibration known = vague.After([
            new BenchCheck(84, 0, 90, 1),
            new BenchCheck(447, 0, 460, 1),
            new BenchCheck(1413, 0, 1440, 1),
        ]);
        // Ordinary least squares by its closed form.
        double[] x = [84, 447, 1413];
        double[] y = [90, 460, 1440];
        double sxx = x.Sum(v => (v - x.Average()) * (v - x.Average()));
        double gain = x.Zip(y, (a, b) => (a - x.Average()) * (b - y.Average())).Sum() / sxx;
        Assert.Equal(gain, known.Gain, 6);
        Assert.Equal(y.Average() - gain * x.Average(), known.Offset, 3);
        Assert.Equal(1 / sxx, known.GainVariance, 1e-10);
    }

    [Fact]
    public void A_check_never_makes_a_meter_less_certain_and_predictions_hold_their_own_share() =>
        Gen.Select(Gen.Double[10, 2000], Gen.Double[0.1, 20], Gen.Double[-50, 50])
            .Repeat()
            .Sample(
                (reference, noise, error) =>
                {
                    MeterCalibration before = MeterCalibration.Unchecked;
                    MeterCalibration after = before.After(
                        new BenchCheck(reference, noise, reference + error, noise)
                    );
                    Assert.True(after.GainVariance <= before.GainVariance);
                    Assert.True(after.OffsetVariance <= before.OffsetVariance);
                    NormalEstimate predicted = after.Predict(reference, noise);
                    NormalEstimate corrected = after.Correct(predicted.Mean, noise);
                    Assert.Equal(reference, corrected.Mean, 1e-9 * reference);
                    Assert.True(corrected.Lower < reference && reference < corrected.Upper);
                }
            );

    [Fact]
    public void Predictions_and_corrections_carry_the_gain_the_offset_their_covariance_and_the_reading()
    {
        var known = new MeterCalibration(2, 10, 0.01, 9, 0.05);
        NormalEstimate shown = known.Predict(100, 5);
        Assert.Equal((210, 12), (shown.Mean, shown.StandardDeviation));
        Assert.Equal(210 - (12 * 1.64485), shown.Lower, 1e-3);
        Assert.Equal(210 + (12 * 1.64485), shown.Upper, 1e-3);
        Assert.Equal(new NormalEstimate(100, 6), known.Correct(210, 5));
        Assert.Equal(Math.Sqrt(29), MeterCalibration.Unchecked.Predict(100, 0).StandardDeviation, 1e-12);
    }

    [Fact]
    public void A_check_without_uncertainty_is_refused() =>
        Assert.Throws<ArgumentOutOfRangeException>(() =>
            MeterCalibration.Unchecked.After(new BenchCheck(84, 0, 90, 0))
        );
}
