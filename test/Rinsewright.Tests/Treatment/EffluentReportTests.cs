using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Tests.Treatment;

public sealed class EffluentReportTests
{
    [Fact]
    public void A_report_that_several_read_at_once_tells_each_what_it_tells_one_alone()
    {
        EffluentReport report = Run();
        double last = report.Samples[^1].Liters;
        EffluentSample feed = report.FeedWater();
        EffluentSample[] alone =
        [
            .. Enumerable.Range(0, 50).Select(i => report.At(Volume.FromLiters(last * i / 50.0))),
        ];
        Parallel.For(
            0,
            4000,
            new ParallelOptions { MaxDegreeOfParallelism = 4 },
            n =>
            {
                int i = n % alone.Length;
                EffluentSample read =
                    n % 2 == 0 ? report.FeedWater() : report.At(Volume.FromLiters(last * i / 50.0));
                EffluentSample expected = n % 2 == 0 ? feed : alone[i];
                Assert.Equal(expected.Conductivity25, read.Conductivity25, 1e-9);
                Assert.Equal(expected.Residue, read.Residue, 1e-9);
                Assert.Equal(expected.PH, read.PH, 1e-9);
            }
        );
    }

    private static EffluentReport Run()
    {
        var bed = new ExchangeBed(
            Volume.FromLiters(1.0),
            Length.FromMillimeters(60.0),
            new Resin(ResinKind.StrongCation, 0.4),
            new Resin(ResinKind.StrongAnion1, 0.6)
        );
        var flow = VolumeFlow.FromLitersPerMinute(1.0);
        var temperature = Temperature.FromKelvins(TrainWaters.Hard.TemperatureKelvin);
        var series = new BedSeries([bed], flow, temperature);
        Volume volume = Volume.FromCubicMeters(
            1.3 * series.StoichiometricVolume(TrainWaters.Hard.Totals).CubicMeters
        );
        Assert.Equal(
            BedRunStatus.Completed,
            series.Advance(TrainWaters.Hard.Totals, temperature, flow, volume)
        );
        return new EffluentReport(series.Effluent, TrainWaters.Hard, [bed], 20);
    }
}
