using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Demo;

/// <summary>
/// A made-up operator of many rigs: a filter, a carbon block and a bed each, read once or twice a week, with kept forecasts; some are
/// past their line, some silent, some without water, fill or forecast. The same seed makes the same rigs.
/// </summary>
public sealed class ManyRigs(LogbookStore store, int seed)
{
    private const int Together = 250;
    private static readonly string[] Towns = ["Quellhaven", "Brunnthal", "Ostfurt", "Nordmühl", "Auental"];
    private readonly Random _random = new(seed);
    private readonly DateTimeOffset _now = store.Clock.GetUtcNow();

    /// <summary>Writes them.</summary>
    /// <param name="count">How many.</param>
    /// <param name="vans">How many vans see to them; one rig in twenty is given to none.</param>
    /// <param name="cancel">Stops it.</param>
    public async Task WriteAsync(int count, int vans, CancellationToken cancel)
    {
        var source = new Source { Id = store.Ids.Next<Source>(), Name = "Town mains" };
        var season = new Season
        {
            Id = store.Ids.Next<Season>(),
            SourceId = source.Id,
            Name = "all year",
            StartMonth = 1,
            SpecificConductance_S_m = 0.05,
        };
        List<Entry> entries = [source, season];
        for (int i = 0; i < count; i++)
        {
            Add(entries, source.Id, i, vans);
            if (i % Together == Together - 1 || i == count - 1)
            {
                WriteOutcome outcome = await store.WriteAsync(new EditDraft("Ana"), entries, cancel);
                if (outcome.Edit is null)
                {
                    throw new InvalidOperationException(string.Join('\n', outcome.Problems));
                }

                entries = [];
            }
        }
    }

    private void Add(List<Entry> entries, Id<Source> source, int number, int vans)
    {
        double kind = _random.NextDouble();
        var rig = new Rig
        {
            Id = store.Ids.Next<Rig>(),
            Name = FormattableString.Invariant($"Bay {number + 1:00000}"),
            SourceId = kind < 0.02 ? null : source,
            TimeZone = "Europe/Vienna",
            Site = FormattableString.Invariant(
                $"{Towns[_random.Next(Towns.Length)]}, Mill Lane {1 + (number / 3)}"
            ),
            Van =
                _random.Next(20) == 0
                    ? null
                    : FormattableString.Invariant($"Van {1 + _random.Next(vans):00}"),
        };
        Stage filter = StageOf(rig, "Filter", 1, StageKind.Sediment);
        Stage carbon = StageOf(rig, "Carbon", 2, StageKind.CarbonBlock);
        Stage bed = StageOf(rig, "Polisher", 3, StageKind.MixedBed) with { Volume_m3 = 0.010 };
        entries.AddRange([rig, filter, carbon, bed]);
        DateTimeOffset filled = _now.AddDays(-_random.Next(5, 60));
        if (kind is >= 0.02 and < 0.03)
        {
            return;
        }

        Fill resin = FillOf(bed, "mixed-bed resin", filled) with
        {
            Volume_m3 = _random.Next(3) == 0 ? 0.020 : 0.010,
        };
        entries.Add(resin);
        double silent_days = kind is >= 0.03 and < 0.08 ? _random.Next(8, 30) : 4 * _random.NextDouble();
        if (rig.SourceId is not null)
        {
            foreach (double back in (double[])[silent_days + 3.5, silent_days])
            {
                entries.Add(
                    new Reading
                    {
                        Id = store.Ids.Next<Reading>(),
                        RigId = rig.Id,
                        Place = Place.Outlet,
                        StageId = bed.Id,
                        At = _now.AddDays(-back),
                        Measurand = Measurand.DissolvedSolids,
                        Value_SI = 0.003,
                        Written = "3",
                        Unit = "ppm",
                    }
                );
            }
        }

        if (rig.SourceId is null || kind is >= 0.08 and < 0.10)
        {
            return;
        }

        DateTimeOffset at = _now.AddDays(-_random.NextDouble());
        double left = 60 * _random.NextDouble() - 3;
        double spread = 0.15 + (0.3 * _random.NextDouble());
        double?[] days = QuantilesOf(left, spread);
        entries.Add(
            new KeptForecast
            {
                Id = store.Ids.Next<KeptForecast>(),
                RigId = rig.Id,
                StageId = bed.Id,
                FillId = resin.Id,
                At = at,
                Model = "made up",
                Members = 1000,
                Seed = 1,
                Line = "10 ppm",
                MeterFactor = 0.5,
                LeftQuantiles_m3 = [.. days.Select(d => 0.02 * d)],
                DaysQuantiles_d = days,
                PassedNow = days.Count(d => d == 0) / (double)days.Length,
            }
        );
        foreach (
            (Stage stage, string medium) in new[] { (filter, "5 µm cartridge"), (carbon, "carbon block") }
        )
        {
            Fill cartridge = FillOf(stage, medium, _now.AddDays(-_random.Next(1, 180)));
            entries.Add(cartridge);
            entries.Add(
                new KeptWear
                {
                    Id = store.Ids.Next<KeptWear>(),
                    RigId = rig.Id,
                    StageId = stage.Id,
                    FillId = cartridge.Id,
                    At = at,
                    Seed = 1,
                    EndedBy = "what ends it",
                    DaysQuantiles_d = QuantilesOf(200 * _random.NextDouble(), 0.4),
                    ServiceUntil = cartridge.PutInAt.AddDays(182),
                }
            );
        }
    }

    /// <summary>Quantiles of days left about a middle; a few of them out of sight.</summary>
    private static double?[] QuantilesOf(double middle_d, double spread) =>
        [
            .. Enumerable
                .Range(0, KeptForecast.QuantileCount)
                .Select(i => i / (KeptForecast.QuantileCount - 1.0))
                .Select(p =>
                    p == 1 ? (double?)null : Math.Max(0, middle_d + (10 * spread * (p - 0.5) / (1.02 - p)))
                ),
        ];

    private Stage StageOf(Rig rig, string name, int position, StageKind kind) =>
        new()
        {
            Id = store.Ids.Next<Stage>(),
            RigId = rig.Id,
            Name = name,
            Position = position,
            Kind = kind,
        };

    private Fill FillOf(Stage stage, string medium, DateTimeOffset at) =>
        new()
        {
            Id = store.Ids.Next<Fill>(),
            StageId = stage.Id,
            Medium = medium,
            PutInAt = at,
        };
}
