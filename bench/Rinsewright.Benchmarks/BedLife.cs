using BenchmarkDotNet.Attributes;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Benchmarks;

/// <summary>
/// A mixed bed on a soft water from new to 1.5 times its stoichiometric volume: one in either form, a hundred that may be it,
/// and the first draw.
/// </summary>
[MemoryDiagnoser]
public class BedLife
{
    private const int Members = 100;
    private const int Seed = 1;

    [Benchmark(Baseline = true)]
    public BedRunStatus Whole_life()
    {
        BedDraw life = SoftWaterBed.Life(SoftWaterBed.Bed);
        return life.Beds.Advance(life.Totals.Span, life.Temperature, life.Flow, life.Volume);
    }

    [Benchmark]
    public BedRunStatus Whole_life_readable_form()
    {
        BedDraw life = SoftWaterBed.Life(SoftWaterBed.Bed);
        return life.Beds.AdvanceScalar(life.Totals.Span, life.Temperature, life.Flow, life.Volume);
    }

    [Benchmark(OperationsPerInvoke = Members)]
    public int Life_of_a_hundred_on_one_thread() => Hundred(1);

    [Benchmark(OperationsPerInvoke = Members)]
    public int Life_of_a_hundred_on_every_core() => Hundred(0);

    [Benchmark]
    public BedRunStatus First_hundred_liters()
    {
        BedDraw life = SoftWaterBed.Life(SoftWaterBed.Bed);
        return life.Beds.Advance(life.Totals.Span, life.Temperature, life.Flow, Volume.FromLiters(100));
    }

    private static int Hundred(int threads)
    {
        var random = new Random(Seed);
        BedDraw[] lives =
        [
            .. Enumerable
                .Range(0, Members)
                .Select(_ => SoftWaterBed.Life(BedUncertainty.Draw(SoftWaterBed.Bed, random))),
        ];
        return BedEnsemble.Advance(lives, threads).Count(s => s == BedRunStatus.Completed);
    }
}
