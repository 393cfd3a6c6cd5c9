using BenchmarkDotNet.Attributes;
using Rinsewright.Drying;
using Rinsewright.Water;

namespace Rinsewright.Benchmarks;

/// <summary>What a very hard and a softened water leave on drying (budget: 2 ms), and the index of one point of a curve.</summary>
[MemoryDiagnoser]
public class DryDowns
{
    private readonly WaterComposition _hard = Of(3.19, 0.905, 1.57, 2.22, 1.0, 0.266);
    private readonly WaterComposition _softened = Of(0.05, 0.013, 9.5, 3.49, 1.02, 0.266);

    [Benchmark]
    public DryDown Very_hard() => DryDown.Of(_hard);

    [Benchmark]
    public DryDown Softened() => DryDown.Of(_softened);

    [Benchmark]
    public SpotIndex By_salts() => SpotIndex.BySalts(_hard);

    private static WaterComposition Of(
        double calcium,
        double magnesium,
        double sodium,
        double chloride,
        double sulfate,
        double silica
    )
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Calcium] = calcium;
        totals[(int)Component.Magnesium] = magnesium;
        totals[(int)Component.Sodium] = sodium;
        totals[(int)Component.Chloride] = chloride;
        totals[(int)Component.Sulfate] = sulfate;
        totals[(int)Component.Silica] = silica;
        return new WaterComposition(totals, 0, 298.15);
    }
}
