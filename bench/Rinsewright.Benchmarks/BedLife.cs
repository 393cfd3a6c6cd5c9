using BenchmarkDotNet.Attributes;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Benchmarks;

/// <summary>A mixed bed with the default resins on a soft water: a whole life, and its first draw.</summary>
[MemoryDiagnoser]
public class BedLife
{
    private readonly double[] _feed = new double[IonCatalog.ComponentCount];
    private readonly ExchangeBed _bed = new(
        Volume.FromLiters(4.5),
        Length.FromMeters(0.105),
        new Resin(ResinKind.StrongCation, 0.4),
        new Resin(ResinKind.StrongAnion1, 0.6)
    );

    public BedLife()
    {
        _feed[(int)Component.Calcium] = 0.175;
        _feed[(int)Component.Magnesium] = 0.058;
        _feed[(int)Component.Sodium] = 0.261;
        _feed[(int)Component.Potassium] = 0.015;
        _feed[(int)Component.Chloride] = 0.339;
        _feed[(int)Component.Sulfate] = 0.062;
        _feed[(int)Component.Nitrate] = 0.015;
        _feed[(int)Component.InorganicCarbon] = 0.29;
        _feed[(int)Component.Silica] = 0.05;
    }

    [Benchmark]
    public BedRunStatus Whole_life()
    {
        var series = NewSeries();
        double life = 1.5 * series.StoichiometricVolume(_feed).CubicMeters;
        return Draw(series, Volume.FromCubicMeters(life));
    }

    [Benchmark]
    public BedRunStatus First_hundred_liters() => Draw(NewSeries(), Volume.FromLiters(100));

    private static VolumeFlow Flow => VolumeFlow.FromLitersPerMinute(8);

    private BedSeries NewSeries() => new([_bed], Flow, Temperature.FromDegreesCelsius(15));

    private BedRunStatus Draw(BedSeries series, Volume volume) =>
        series.Advance(_feed, Temperature.FromDegreesCelsius(15), Flow, volume);
}
