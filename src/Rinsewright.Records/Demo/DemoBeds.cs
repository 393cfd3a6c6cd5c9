using Rinsewright.Quantities;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;
using Stage = Rinsewright.Records.Logbook.Stage;

namespace Rinsewright.Records.Demo;

/// <summary>
/// The beds of a demonstration rig: one whole life of them by the bed model, on the made-up water of Quellhaven, from which
/// each fill's outlet is read.
/// </summary>
internal sealed class DemoBeds
{
    /// <summary>Made up: a middling hard water of moderate silica.</summary>
    private const string Water = """
        {
          "temperature": "12 degC", "pH": 7.5, "calcium": "66 mg/L", "magnesium": "15 mg/L", "sodium": "14 mg/L", "potassium": "2 mg/L",
          "alkalinity": "190 mg/L as CaCO3", "chloride": "28 mg/L", "sulfate": "41 mg/L", "nitrate": "12 mg/L", "silica": "8 mg/L as SiO2"
        }
        """;

    private const double Flow_L_min = 8;
    private const double MeterFactor = 0.5;
    private readonly EffluentReport _life;
    private readonly double _raw_uS_cm;

    public DemoBeds(IEnumerable<Stage> stages)
    {
        Stage[] train = [.. stages];
        bool isRead = WaterFile.TryRead(Water, out WaterAnalysis? analysis, out _, out _);
        WaterComposition raw = (
            isRead ? SourceWater.Complete(analysis!, new WaterMode(), members: 1, seed: 1, out _) : null
        )!.Members[0];
        WaterComposition feed = Array.Exists(train, s => s.Kind is StageKind.ReverseOsmosis)
            ? new ReverseOsmosis().Treat(raw)!.Permeate
            : raw;
        ExchangeBed[] beds =
        [
            .. train
                .Where(s => s.Volume_m3 is not null)
                .Select(s => FreshBed.Of(s.Kind, Volume.FromCubicMeters(s.Volume_m3!.Value), s.Name)!),
        ];
        BedDraw life = BedDraw.OfLife(
            beds,
            feed,
            VolumeFlow.FromLitersPerMinute(Flow_L_min),
            BedOutlook.UsualLife
        );
        BedRunStatus status = life.Beds.Advance(feed.Totals, life.Temperature, life.Flow, life.Volume);
        if (status is not BedRunStatus.Completed)
        {
            throw new InvalidOperationException($"A life of the demonstration's beds ended as {status}.");
        }

        _life = new EffluentReport(life.Beds.Effluent, feed, [.. beds]);
        _raw_uS_cm = new EffluentReport(life.Beds.Effluent, raw, [.. beds], samples: 1)
            .FeedWater()
            .Conductivity25;
    }

    /// <summary>How much of the made-up water counts as one litre of a water of another strength [-].</summary>
    /// <param name="source_ppm">What a meter shows in that water [ppm].</param>
    public double Strength(double source_ppm) => source_ppm / (MeterFactor * _raw_uS_cm);

    /// <summary>What a meter shows behind the beds after some of the made-up water has passed [ppm].</summary>
    /// <param name="passed_L">Water passed [L].</param>
    public double Outlet_ppm(double passed_L) =>
        MeterFactor * _life.Between(passed_L, sample => sample.Conductivity25);
}
