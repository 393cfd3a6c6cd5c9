using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Demo;

/// <summary>One rig of the demonstration: its train and how its polishing bed stands.</summary>
internal sealed class DemoRig
{
    // Our own choice for a story, not a model: a bed holds so many equivalents, reads near nothing until most
    // are used, and then goes within the last tenth.
    private const double Capacity_eq_m3 = 600;
    private const double Ppm_per_eq_m3 = 50;

    public DemoRig(
        IdSource ids,
        Id<Source> source,
        string name,
        string[] stages,
        double bed_L,
        int drawsPerWeek
    )
    {
        Bed_m3 = bed_L / 1000;
        DrawsPerWeek = drawsPerWeek;
        Rig = new Rig
        {
            Id = ids.Next<Rig>(),
            Name = name,
            SourceId = source,
            TimeZone = "Europe/Vienna",
        };
        Stages =
        [
            .. stages.Select(
                (stage, i) =>
                    new Stage
                    {
                        Id = ids.Next<Stage>(),
                        RigId = Rig.Id,
                        Name = stage,
                        Position = i + 1,
                        Kind = stage switch
                        {
                            "Filter" => StageKind.Sediment,
                            "Carbon" => StageKind.CarbonBlock,
                            "Membrane" => StageKind.ReverseOsmosis,
                            _ => StageKind.MixedBed,
                        },
                        Volume_m3 = stage is "Polisher" or "Lead" ? Bed_m3 : null,
                        VolumeWritten = stage is "Polisher" or "Lead"
                            ? FormattableString.Invariant($"{bed_L} L")
                            : null,
                        RatedPressure_Pa = 8e5,
                        ChangeOutLine_S_m = stage is "Polisher" ? 0.002 : null,
                    }
            ),
        ];
    }

    public Rig Rig { get; }
    public IReadOnlyList<Stage> Stages { get; }
    public Stage Bed => Stages[^1];
    public double Bed_m3 { get; }
    public int DrawsPerWeek { get; }
    public Fill? Fill { get; set; }
    public double Used_eq { get; set; }

    /// <summary>Share of the inlet's dissolved solids that reaches the bed.</summary>
    public double Passage => Stages.Any(s => s.Kind is StageKind.ReverseOsmosis) ? 0.06 : 1;

    public void Load(double volume_m3, double source_ppm) =>
        Used_eq += volume_m3 * source_ppm * Passage / Ppm_per_eq_m3;

    /// <summary>What the bed lets through [ppm].</summary>
    public double Outlet(double source_ppm)
    {
        double used = Used_eq / (Capacity_eq_m3 * Bed_m3);
        return source_ppm * Passage / (1 + Math.Exp(60 * (0.97 - used)));
    }
}
