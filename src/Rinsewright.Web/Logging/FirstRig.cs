using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;
using Rig = Rinsewright.Records.Logbook.Rig;
using Stage = Rinsewright.Records.Logbook.Stage;

namespace Rinsewright.Web.Logging;

/// <summary>A rig as it is first described: its water and its one bed.</summary>
public sealed class FirstRig(LogbookStore store)
{
    private const double TradeFactor = 10; // kg/m³ per S/m for a factor of 1 ppm per µS/cm
    private const double UsualLine_S_m = 0.002; // 20 µS/cm, which the usual meter shows as 10 ppm
    private static readonly (StageKind Kind, string Name)[] Before =
    [
        (StageKind.Sediment, "Sediment"),
        (StageKind.CarbonBlock, "Carbon"),
    ];

    /// <summary>Writes the rig, its water and a fresh fill as one edit.</summary>
    /// <param name="name">What the rig is called.</param>
    /// <param name="size">Size of the bed.</param>
    /// <param name="water">The water.</param>
    /// <param name="before">Which kinds of stage stand before the bed.</param>
    /// <param name="timeZone">IANA name of the zone in which its days are counted.</param>
    /// <param name="cancel">Stops the writing.</param>
    public Task<WriteOutcome> WriteAsync(
        string name,
        Housing size,
        WaterStatement water,
        IReadOnlyCollection<StageKind> before,
        string timeZone,
        CancellationToken cancel
    )
    {
        var source = new Source { Id = store.Ids.Next<Source>(), Name = $"{name}: tap" };
        var rig = new Rig
        {
            Id = store.Ids.Next<Rig>(),
            Name = name,
            SourceId = source.Id,
            TimeZone = timeZone,
        };
        var season = new Season
        {
            Id = store.Ids.Next<Season>(),
            SourceId = source.Id,
            Name = "all year",
            WaterFile = water.ToWaterFile(),
        };
        List<Stage> stages =
        [
            .. Before
                .Where(b => before.Contains(b.Kind))
                .Select(
                    (b, i) =>
                        new Stage
                        {
                            Id = store.Ids.Next<Stage>(),
                            RigId = rig.Id,
                            Name = b.Name,
                            Position = i + 1,
                            Kind = b.Kind,
                        }
                ),
        ];
        string volume = QuantityText.Format(size.Resin, "L");
        var bed = new Stage
        {
            Id = store.Ids.Next<Stage>(),
            RigId = rig.Id,
            Name = "Mixed bed",
            Position = stages.Count + 1,
            Kind = StageKind.MixedBed,
            Volume_m3 = size.Resin.CubicMeters,
            VolumeWritten = volume,
            RatedPressure_Pa = size.RatedPressure.Pascals,
            RatedTemperature_K = size.RatedTemperature.Kelvins,
            ChangeOutLine_S_m = UsualLine_S_m,
        };
        var fill = new Fill
        {
            Id = store.Ids.Next<Fill>(),
            StageId = bed.Id,
            Medium = "mixed-bed resin",
            Volume_m3 = size.Resin.CubicMeters,
            VolumeWritten = volume,
            PutInAt = Instant.Now(store.Clock),
        };
        var meter = new Meter
        {
            Id = store.Ids.Next<Meter>(),
            Name = "Pocket meter",
            Measurand = Measurand.DissolvedSolids,
            TdsFactor_kg_m3_per_S_m = TradeFactor * (water.Factor ?? WaterStatement.UsualFactor),
        };
        return store.WriteAsync(
            new EditDraft("someone", $"set up {name}"),
            [source, rig, season, .. stages, bed, fill, meter],
            cancel
        );
    }
}
