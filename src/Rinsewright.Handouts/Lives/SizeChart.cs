using System.Collections.Immutable;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Handouts.Lives;

/// <summary>Lives by size and by reading, for anyone: the middle of what the bed model says of the waters of each reading.</summary>
public sealed class SizeChart(SourceWaters waters)
{
    private const int Waters = 5; // of each reading
    private const double Flow_L_min = 8;
    private const double Line_uS_cm = 20; // what the usual meter shows as 10 ppm
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
        WaterComposition[] feeds =
        [
            .. Readings.SelectMany(ppm =>
                LifeRuns.Spread(
                    waters
                        .Of(new WaterStatement { Reading = $"{ppm}", Temperature = "15 degC" }.ToWaterFile())
                        .Source!,
                    Waters
                )
            ),
        ];
        ImmutableArray<ExchangeBed>[] beds =
        [
            .. sizes.Select(s => ImmutableArray.Create(HousingCatalog.MixedBed(s))),
        ];
        IReadOnlyList<EffluentReport?> lives = LifeRuns.Of(
            [.. beds.SelectMany(bed => feeds.Select(feed => (bed, feed, flow)))],
            BedDetail.Lines
        );
        var line = new ChangeOutLine("20 uS/cm", LineKind.Conductivity, Line_uS_cm);
        var liters = new double[lives.Count];
        Parallel.For(
            0,
            lives.Count,
            i =>
                liters[i] =
                    lives[i]?.Reaches(line, WaterStatement.UsualFactor)?.Liters ?? double.PositiveInfinity
        );
        double[][] middles =
        [
            .. liters.Chunk(Waters).Select(of => of.Order().ElementAt(Waters / 2)).Chunk(Readings.Length),
        ];
        return [.. Readings.Select((ppm, r) => (ppm, middles.Select(of => of[r]).ToArray()))];
    }
}
