using System.Globalization;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Demo;

/// <summary>One rig of the demonstration: its train and how its polishing bed stands.</summary>
internal sealed class DemoRig
{
    private const double CarbonLiters = 3;
    private const double LinePressure_bar = 3.6;

    private readonly Dictionary<Id<Stage>, Fill> _cartridges = [];
    private readonly DemoBeds _beds;
    private double _passed_L;
    private double _capacity = 1;

    public DemoRig(
        IdSource ids,
        Id<Source> source,
        string name,
        string[] stages,
        double bed_L,
        int drawsPerWeek,
        (string Site, string Van) at
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
            Site = at.Site,
            Van = at.Van,
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
        _beds = new DemoBeds(Stages);
    }

    /// <summary>Weeks after which filter and carbon are changed.</summary>
    public const int CartridgeWeeks = 26;

    public Rig Rig { get; }
    public IReadOnlyList<Stage> Stages { get; }
    public Stage Bed => Stages[^1];
    public double Bed_m3 { get; }
    public int DrawsPerWeek { get; }
    public Fill? Fill { get; set; }

    /// <summary>A new fill.</summary>
    /// <param name="capacity">What it holds, over what it should [-].</param>
    public void Renew(double capacity) => (_passed_L, _capacity) = (0, capacity);

    public void Load(double volume_m3, double source_ppm) =>
        _passed_L += 1000 * volume_m3 * _beds.Strength(source_ppm);

    /// <summary>What the bed lets through [ppm].</summary>
    public double Outlet(double source_ppm) =>
        _beds.Strength(source_ppm) * _beds.Outlet_ppm(_passed_L / _capacity);

    /// <summary>A new sediment cartridge and a new carbon block, as they are put in twice a year.</summary>
    public IEnumerable<Entry> ChangeCartridges(IdSource ids, DateTimeOffset at)
    {
        foreach (Stage stage in Stages.Where(s => s.Kind is StageKind.Sediment or StageKind.CarbonBlock))
        {
            if (_cartridges.TryGetValue(stage.Id, out Fill? old))
            {
                yield return old with
                {
                    Version = 1,
                    TakenOutAt = at,
                };
            }

            bool isCarbon = stage.Kind is StageKind.CarbonBlock;
            var fresh = new Fill
            {
                Id = ids.Next<Fill>(),
                StageId = stage.Id,
                Medium = isCarbon ? "carbon block" : "sediment cartridge, 5 micrometre",
                Volume_m3 = isCarbon ? CarbonLiters / 1000 : null,
                VolumeWritten = isCarbon ? FormattableString.Invariant($"{CarbonLiters} L") : null,
                PutInAt = at,
            };
            _cartridges[stage.Id] = fresh;
            yield return fresh;
        }
    }

    /// <summary>Pressures before and behind the sediment cartridge while water flows; it loses a little more every week.</summary>
    public IEnumerable<Reading> Pressures(IdSource ids, DateTimeOffset at, int week, double? flow_m3_s)
    {
        if (Stages[0] is not { Kind: StageKind.Sediment } filter)
        {
            yield break;
        }

        double behind_bar = LinePressure_bar - Math.Round(0.1 + (0.02 * (week % CartridgeWeeks)), 1);
        foreach (
            (Place place, double bar) in new[] { (Place.Inlet, LinePressure_bar), (Place.Outlet, behind_bar) }
        )
        {
            yield return new Reading
            {
                Id = ids.Next<Reading>(),
                RigId = Rig.Id,
                Place = place,
                StageId = filter.Id,
                At = at,
                Measurand = Measurand.Pressure,
                Value_SI = 1e5 * bar,
                Written = bar.ToString("0.0", CultureInfo.InvariantCulture),
                Unit = "bar",
                Flow_m3_s = flow_m3_s,
            };
        }
    }
}
