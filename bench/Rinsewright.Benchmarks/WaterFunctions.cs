using BenchmarkDotNet.Attributes;
using Rinsewright.Water;

namespace Rinsewright.Benchmarks;

/// <summary>Functions of temperature that every change of a source calls.</summary>
[MemoryDiagnoser]
public class WaterFunctions
{
    [Params(288.15)]
    public double Kelvins { get; set; }

    [Benchmark]
    public double Density_and_viscosity() =>
        WaterProperties.Viscosity(Kelvins) / WaterProperties.Density(Kelvins);

    [Benchmark]
    public double Every_equilibrium_constant()
    {
        double sum = 0;
        foreach (Reaction reaction in Reactions)
        {
            sum += Equilibria.LogK(reaction, Kelvins);
        }

        return sum;
    }

    private static readonly Reaction[] Reactions = Enum.GetValues<Reaction>();
}
