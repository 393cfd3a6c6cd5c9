using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Web.Estimates;

/// <summary>Lives by size and by reading, for the wall: the bed model on the middling water of each reading.</summary>
public sealed class LifeChart(SourceWaters waters)
{
    private const double Flow_L_min = 8;
    private const double Line_uS_cm = 20; // what the usual meter shows as 10 ppm
    private const double Celsius = 15;
    private const double Whole = 1.5;
    private static readonly int[] Readings = [50, 100, 150, 200, 300, 400];
    private readonly Lock _gate = new();
    private List<(int Ppm, double[] Liters)>? _rows;

    /// <summary>A row for each reading; litres to the line by size, zero where even a fresh fill does not hold it [L].</summary>
    public IReadOnlyList<(int Ppm, double[] Liters)> Of(IReadOnlyList<Housing> sizes)
    {
        lock (_gate)
        {
            return _rows ??= Compute(sizes);
        }
    }

    private List<(int Ppm, double[] Liters)> Compute(IReadOnlyList<Housing> sizes)
    {
        var flow = VolumeFlow.FromLitersPerMinute(Flow_L_min);
        var temperature = Temperature.FromDegreesCelsius(Celsius);
        List<(BedSeries Beds, WaterComposition Feed, ExchangeBed Bed)> runs = [];
        List<BedDraw> draws = [];
        foreach (int ppm in Readings)
        {
            SourceWater source = waters
                .Of(new WaterStatement { Reading = $"{ppm}", Temperature = "15 degC" }.ToWaterFile())
                .Source!;
            WaterComposition feed = source
                .Members.OrderBy(m => m.Totals.ToArray().Sum())
                .ElementAt(source.Members.Length / 2);
            foreach (Housing size in sizes)
            {
                ExchangeBed bed = HousingCatalog.MixedBed(size);
                var beds = new BedSeries([bed], flow, temperature);
                var life = Volume.FromCubicMeters(Whole * beds.StoichiometricVolume(feed.Totals).CubicMeters);
                runs.Add((beds, feed, bed));
                draws.Add(new BedDraw(beds, feed.Totals.ToArray(), temperature, flow, life));
            }
        }

        _ = BedEnsemble.Advance(draws);
        var line = new ChangeOutLine("20 uS/cm", LineKind.Conductivity, Line_uS_cm);
        double[] liters = new double[runs.Count];
        Parallel.For(
            0,
            runs.Count,
            i =>
                liters[i] =
                    new EffluentReport(runs[i].Beds.Effluent, runs[i].Feed, [runs[i].Bed], samples: 1)
                        .Reaches(line, WaterStatement.UsualFactor)
                        ?.Liters
                    ?? double.PositiveInfinity
        );
        return [.. Readings.Select((ppm, r) => (ppm, liters[(r * sizes.Count)..((r + 1) * sizes.Count)]))];
    }
}
