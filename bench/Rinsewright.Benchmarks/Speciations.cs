using BenchmarkDotNet.Attributes;
using Rinsewright.Water;

namespace Rinsewright.Benchmarks;

/// <summary>The species of a hard natural water. Budget: 20 µs and no allocation.</summary>
[MemoryDiagnoser]
public class Speciations
{
    private readonly SpeciationSolver _solver = new();
    private readonly Speciation _species = new();
    private readonly WaterComposition _water;

    public Speciations()
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Calcium] = 1.87;
        totals[(int)Component.Magnesium] = 0.74;
        totals[(int)Component.Sodium] = 1.09;
        totals[(int)Component.Potassium] = 0.08;
        totals[(int)Component.Chloride] = 1.13;
        totals[(int)Component.Sulfate] = 0.57;
        totals[(int)Component.Nitrate] = 0.13;
        totals[(int)Component.InorganicCarbon] = 4.5;
        totals[(int)Component.Silica] = 0.2;
        _water = new WaterComposition(totals, 0, 288.15);
    }

    [Benchmark]
    public SpeciationStatus Closed_water() => _solver.Solve(_water, _water.Closed, _species);

    [Benchmark]
    public SpeciationStatus Open_to_air() => _solver.Solve(_water, _water.Open(-3.4), _species);

    [Benchmark]
    public SpeciationStatus From_pH_and_alkalinity() =>
        _solver.Solve(_water, SpeciationTarget.PHAndAlkalinity(7.6, 3.9), _species);
}
