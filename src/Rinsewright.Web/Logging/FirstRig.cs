using Microsoft.EntityFrameworkCore;
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
    private const double SiemensPerMicrosiemens = 1e-4; // S/m per µS/cm
    private const string MeterName = "Pocket meter";
    private static readonly (StageKind Kind, string Name)[] Before =
    [
        (StageKind.Sediment, "Sediment"),
        (StageKind.CarbonBlock, "Carbon"),
    ];

    /// <summary>Writes the rig, its water and a fresh usual fill as one edit; it is changed at the usual line.</summary>
    public Task<WriteOutcome> WriteAsync(
        string name,
        Housing size,
        WaterStatement water,
        IReadOnlyCollection<StageKind> before,
        string timeZone,
        CancellationToken cancel
    ) => WriteAsync(name, size, water, before, timeZone, volume: null, line: null, cancel);

    /// <summary>Writes the rig, its water and a fresh fill as one edit.</summary>
    /// <param name="name">What the rig is called.</param>
    /// <param name="size">Size of the bed.</param>
    /// <param name="water">The water.</param>
    /// <param name="before">Which kinds of stage stand before the bed.</param>
    /// <param name="timeZone">IANA name of the zone in which its days are counted.</param>
    /// <param name="volume">Volume of resin; the usual fill of the size when left out.</param>
    /// <param name="line">Where the fill is changed; 20 µS/cm when left out.</param>
    /// <param name="cancel">Stops the writing.</param>
    public async Task<WriteOutcome> WriteAsync(
        string name,
        Housing size,
        WaterStatement water,
        IReadOnlyCollection<StageKind> before,
        string timeZone,
        Volume? volume,
        ChangeOutLine? line,
        CancellationToken cancel
    )
    {
        double factor = water.Factor ?? WaterStatement.UsualFactor;
        if (LineOf(line, factor) is not { } line_S_m)
        {
            return new WriteOutcome(
                null,
                [
                    new InputProblem(
                        "line",
                        line!.Text,
                        "a line that a meter shows, such as \"10 ppm\" or \"20 uS/cm\": by that a rig is changed"
                    ),
                ]
            );
        }

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
        Volume resin = volume ?? size.Resin;
        string written = QuantityText.Format(resin, "L");
        var bed = new Stage
        {
            Id = store.Ids.Next<Stage>(),
            RigId = rig.Id,
            Name = "Mixed bed",
            Position = stages.Count + 1,
            Kind = StageKind.MixedBed,
            Volume_m3 = resin.CubicMeters,
            VolumeWritten = written,
            RatedPressure_Pa = size.RatedPressure.Pascals,
            RatedTemperature_K = size.RatedTemperature.Kelvins,
            ChangeOutLine_S_m = line_S_m,
        };
        var fill = new Fill
        {
            Id = store.Ids.Next<Fill>(),
            StageId = bed.Id,
            Medium = "mixed-bed resin",
            Volume_m3 = resin.CubicMeters,
            VolumeWritten = written,
            PutInAt = Instant.Now(store.Clock),
        };
        double meterFactor = TradeFactor * factor;
        List<Meter> meters = [];
        await using (LogbookContext context = store.Read())
        {
            if (
                !await context
                    .Live<Meter>()
                    .AnyAsync(
                        m =>
                            m.Name == MeterName
                            && m.Measurand == Measurand.DissolvedSolids
                            && m.TdsFactor_kg_m3_per_S_m == meterFactor,
                        cancel
                    )
            )
            {
                meters.Add(
                    new Meter
                    {
                        Id = store.Ids.Next<Meter>(),
                        Name = MeterName,
                        Measurand = Measurand.DissolvedSolids,
                        TdsFactor_kg_m3_per_S_m = meterFactor,
                    }
                );
            }
        }

        return await store.WriteAsync(
            new EditDraft("someone", $"set up {name}"),
            [source, rig, season, .. stages, bed, fill, .. meters],
            cancel
        );
    }

    /// <summary>A line as a conductance [S/m]; nothing for one that no meter shows.</summary>
    private static double? LineOf(ChangeOutLine? line, double factor) =>
        line?.Kind switch
        {
            null => UsualLine_S_m,
            LineKind.MeterReading => SiemensPerMicrosiemens * line.Value / factor,
            LineKind.Conductivity => SiemensPerMicrosiemens * line.Value,
            _ => null,
        };
}
