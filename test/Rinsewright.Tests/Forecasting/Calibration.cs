using System.Collections.Concurrent;
using Rinsewright.Forecasting;
using Rinsewright.Treatment;

namespace Rinsewright.Tests.Forecasting;

/// <summary>How well the forecasts of many synthetic rigs cover their truth.</summary>
internal sealed record Calibration(int Rigs, double Covered80, double Covered95, double[] Ranks)
{
    /// <summary>What is simulated for a seed, which is the same in every world.</summary>
    private static readonly ConcurrentDictionary<int, Lazy<LifeLibrary>> Libraries = new();

    public static Calibration Of(int rigs, int members, int seed, SyntheticRigs.World? world = null)
    {
        LifeLibrary library = Libraries.GetOrAdd(seed, s => new(() => LibraryOf(s))).Value;
        int covered80 = 0;
        int covered95 = 0;
        List<double> ranks = [];
        var random = new Random(seed);
        foreach (SyntheticRigs.Rig rig in SyntheticRigs.Draw(rigs, seed + 100_000, world))
        {
            LineOutlook outlook = FillForecast
                .Of(rig.Fill, library, members, seed)
                .To(SyntheticRigs.Line, SyntheticRigs.MeterFactor);
            double[] left = [.. outlook.LitersLeft];
            double Quantile(double p) => Band.Quantile(left, p);
            covered80 += rig.LitersLeft >= Quantile(0.1) && rig.LitersLeft <= Quantile(0.9) ? 1 : 0;
            covered95 += rig.LitersLeft >= Quantile(0.025) && rig.LitersLeft <= Quantile(0.975) ? 1 : 0;
            double below = left.Count(l => l < rig.LitersLeft);
            double equal = left.Count(l => l == rig.LitersLeft);
            ranks.Add((below + random.NextDouble() * equal) / left.Length);
        }

        return new Calibration(rigs, covered80 / (double)rigs, covered95 / (double)rigs, [.. ranks]);
    }

    private static LifeLibrary LibraryOf(int seed) =>
        LifeLibrary.Build(
            SyntheticRigs.Beds,
            SyntheticRigs.Waters,
            SyntheticRigs.Flow,
            LifeLibrary.UsualCount,
            seed
        );

    /// <summary>χ² of the ranks against even ones, over its degrees of freedom [-].</summary>
    public double Unevenness(int bins)
    {
        var counts = new int[bins];
        foreach (double rank in Ranks)
        {
            counts[Math.Min((int)(rank * bins), bins - 1)]++;
        }

        double even = (double)Ranks.Length / bins;
        return counts.Sum(c => (c - even) * (c - even) / even) / (bins - 1);
    }
}
