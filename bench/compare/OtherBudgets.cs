using System.Globalization;
using Rinsewright.Water;

namespace Rinsewright.Compare;

/// <summary>Costs that have a budget beside the bed, each with the time that its peer is recorded to take.</summary>
internal static class OtherBudgets
{
    private const int Batch = 200;

    /// <summary>One speciation of the feed of a case: time [µs] and bytes allocated.</summary>
    public static (double Microseconds, double Bytes) Speciation(OwnBed bed, int repeat)
    {
        var water = new WaterComposition(bed.Feed, 0, bed.Temperature.Kelvins);
        SpeciationTarget target = water.Closed;
        var solver = new SpeciationSolver();
        var species = new Speciation();
        void Work()
        {
            for (int n = 0; n < Batch; n++)
            {
                if (solver.Solve(water, target, species) != SpeciationStatus.Solved)
                {
                    throw new InvalidOperationException("The speciation did not converge.");
                }
            }
        }

        double milliseconds = Clock.Median(repeat, Work);
        long before = GC.GetAllocatedBytesForCurrentThread();
        Work();
        long bytes = GC.GetAllocatedBytesForCurrentThread() - before;
        return (1e3 * milliseconds / Batch, (double)bytes / Batch);
    }

    /// <summary>What a general geochemical code is recorded to take for one speciation within a process [µs].</summary>
    public static double RecordedSpeciation()
    {
        string[] fields = File.ReadLines(Workplace.PathOf("data/reference-codes/phreeqc/timing.csv"))
            .First(l => l.Contains("through the library", StringComparison.Ordinal))
            .Split(',')[^2..];
        return 1e6
            * double.Parse(fields[1], CultureInfo.InvariantCulture)
            / double.Parse(fields[0], CultureInfo.InvariantCulture);
    }
}
