using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Demo;

/// <summary>
/// A made-up story to look around in: a valeting firm with two vans and four rigs in the made-up town of
/// Quellhaven, two years long, with seasons, change-outs, a meter that drifts, and mistakes put right. The
/// same seed and the same last day tell the same story, bit for bit.
/// </summary>
public sealed class TwoVans
{
    private const int UsualDays = 730;
    private const string Yard = "Quellhaven, Mill Lane 3";
    private readonly Random _random;
    private readonly ScenarioClock _clock;
    private readonly IdSource _ids;
    private readonly LogbookStore _store;
    private readonly Source _source;
    private readonly Meter _pocket;
    private readonly Meter _probe;
    private readonly WashTask[] _tasks;
    private readonly DemoRig[] _rigs;
    private Purchase? _resin;
    private double _resinLeft_m3;

    private readonly int _days;

    private TwoVans(LogbookStore store, ScenarioClock clock, int seed, int days)
    {
        _days = days;
        _store = store;
        _clock = clock;
        _random = new Random(seed);
        _ids = new IdSource(clock, _random);
        _source = new Source
        {
            Id = _ids.Next<Source>(),
            Name = "Quellhaven mains",
            Place = "Quellhaven",
        };
        _pocket = new Meter
        {
            Id = _ids.Next<Meter>(),
            Name = "Pocket meter",
            Measurand = Measurand.DissolvedSolids,
            TdsFactor_kg_m3_per_S_m = 5,
            Compensation_per_K = 0.02,
            Resolution_SI = 0.001,
        };
        _probe = new Meter
        {
            Id = _ids.Next<Meter>(),
            Name = "Yard probe",
            Measurand = Measurand.Conductivity,
            Compensation_per_K = 0,
        };
        _tasks =
        [
            Task("pre-rinse", 60, 11),
            Task("foam", 8, 4),
            Task("wheels", 12, 6),
            Task("last rinse", 40, 8),
        ];
        _rigs =
        [
            new DemoRig(
                _ids,
                _source.Id,
                "Van 1",
                ["Filter", "Carbon", "Polisher"],
                10,
                9,
                (Yard, "Mira's round")
            ),
            new DemoRig(
                _ids,
                _source.Id,
                "Van 2",
                ["Filter", "Carbon", "Polisher"],
                10,
                7,
                (Yard, "Jon's round")
            ),
            new DemoRig(
                _ids,
                _source.Id,
                "Yard bay",
                ["Filter", "Carbon", "Membrane", "Polisher"],
                7,
                12,
                (Yard, "Jon's round")
            ),
            new DemoRig(
                _ids,
                _source.Id,
                "Wall set",
                ["Carbon", "Lead", "Polisher"],
                5,
                2,
                ("Quellhaven, Well Row 8", "Mira's round")
            ),
        ];
    }

    /// <summary>Fills a record that has no edits yet, with so many days up to the last.</summary>
    /// <returns>Problems when the record is not empty; otherwise none.</returns>
    public static async Task<IReadOnlyList<InputProblem>> FillAsync(
        StoreAddress address,
        int seed,
        DateOnly lastDay,
        int days = UsualDays,
        CancellationToken cancel = default
    )
    {
        var clock = new ScenarioClock(
            new DateTimeOffset(lastDay.AddDays(-days), new TimeOnly(6, 0), TimeSpan.Zero)
        );
        await using LogbookStore store = await LogbookStore.OpenAsync(address, clock, cancel);
        await using (LogbookContext context = store.Read())
        {
            if (context.Edits.Any())
            {
                return
                [
                    new InputProblem(
                        "record",
                        address.ToString(),
                        "an empty record; give another folder with --data"
                    ),
                ];
            }
        }

        await new TwoVans(store, clock, seed, days).TellAsync(cancel);
        return [];
    }

    private async Task TellAsync(CancellationToken cancel)
    {
        await WriteAsync("Mira", "setting up", Start(), cancel);
        DateTimeOffset start = _clock.Now;
        for (int week = 0; week < _days / 7; week++)
        {
            DateTimeOffset monday = start.AddDays(week * 7);
            _clock.Now = monday.AddDays(6).AddHours(12);
            var entries = new List<Entry>();
            foreach (DemoRig rig in _rigs)
            {
                Week(rig, monday, week, entries);
            }

            if (week % 4 == 1)
            {
                entries.Add(Check(monday.AddHours(4), week));
            }

            await WriteAsync(week % 3 == 0 ? "Jon" : "Mira", "", entries, cancel);
            await MistakesAsync(week, monday, entries, cancel);
        }
    }

    private List<Entry> Start()
    {
        DateOnly today = DateOnly.FromDateTime(_clock.Now.UtcDateTime);
        var entries = new List<Entry>
        {
            new Person { Id = _ids.Next<Person>(), Name = "Mira" },
            new Person
            {
                Id = _ids.Next<Person>(),
                Name = "Jon",
                Units = UnitPreference.UsCustomary,
            },
            _source,
            Season("winter", 11, 0.058),
            Season("summer", 5, 0.041),
            _pocket,
            _probe,
        };
        entries.AddRange(_tasks);
        foreach (DemoRig rig in _rigs)
        {
            entries.Add(rig.Rig);
            entries.AddRange(rig.Stages);
            entries.AddRange(
                _tasks.Select(
                    (task, i) =>
                        new Habit
                        {
                            Id = _ids.Next<Habit>(),
                            RigId = rig.Rig.Id,
                            WashTaskId = task.Id,
                            StageId = i == 3 ? rig.Bed.Id : rig.Stages[0].Id,
                            TimesPerWeek = rig.DrawsPerWeek,
                        }
                )
            );
            entries.Add(
                new Upkeep
                {
                    Id = _ids.Next<Upkeep>(),
                    RigId = rig.Rig.Id,
                    StageId = rig.Bed.Id,
                    Name = "flush and sanitise",
                    EveryDays = 90,
                    LastDoneOn = today,
                }
            );
            Refill(rig, _clock.Now, entries);
            entries.AddRange(rig.ChangeCartridges(_ids, _clock.Now));
        }

        entries.Add(
            new Price
            {
                Id = _ids.Next<Price>(),
                Kind = CostKind.Water,
                What = "mains water and sewer",
                Amount = 4.12m,
                Currency = "EUR",
                Basis = PriceBasis.PerCubicMeter,
                From = today,
            }
        );
        return entries;
    }

    private void Week(DemoRig rig, DateTimeOffset monday, int week, List<Entry> entries)
    {
        double busy = 1 + (0.5 * Math.Sin(2 * Math.PI * (week - 8) / 52));
        double source_ppm = 245 + (45 * Math.Cos(2 * Math.PI * (monday.DayOfYear - 20) / 365)) + Noise(4);
        double temperature_C = 12 - (5 * Math.Cos(2 * Math.PI * (monday.DayOfYear - 30) / 365));
        for (int i = 0; i < (int)Math.Round(rig.DrawsPerWeek * busy); i++)
        {
            DateTimeOffset at = monday.AddMinutes(_random.Next(6 * 24 * 60));
            WashTask task = _tasks[i % _tasks.Length];
            double liters = Math.Round(task.Volume_m3 * 1000 * (0.8 + (0.4 * _random.NextDouble())));
            bool isPolished = i % _tasks.Length == 3;
            entries.Add(
                new Draw
                {
                    Id = _ids.Next<Draw>(),
                    RigId = rig.Rig.Id,
                    StageId = isPolished ? rig.Bed.Id : rig.Stages[0].Id,
                    WashTaskId = task.Id,
                    At = at,
                    Volume_m3 = liters / 1000,
                    VolumeWritten = FormattableString.Invariant($"{liters} L"),
                    Basis = VolumeBasis.Measured,
                    Flow_m3_s = task.Flow_m3_s,
                    Washes = isPolished ? 1 : null,
                }
            );
            if (isPolished)
            {
                rig.Load(liters / 1000, source_ppm);
            }
        }

        DateTimeOffset friday = monday.AddDays(4).AddMinutes(_random.Next(300));
        entries.Add(Reading(rig, Place.Source, null, friday, source_ppm, temperature_C));
        double outlet = rig.Outlet(source_ppm);
        entries.Add(
            Reading(rig, Place.Outlet, rig.Bed, friday.AddMinutes(2), outlet + _random.Next(2), temperature_C)
        );
        if (week % 6 == 0)
        {
            entries.Add(Chlorine(rig, friday.AddMinutes(4), week));
        }

        if (week % 8 == 4)
        {
            entries.AddRange(rig.Pressures(_ids, friday.AddMinutes(6), week, _tasks[0].Flow_m3_s));
        }

        if (outlet > 8)
        {
            Refill(rig, friday.AddHours(1), entries);
        }

        if (week > 0 && week % DemoRig.CartridgeWeeks == 0)
        {
            entries.AddRange(rig.ChangeCartridges(_ids, friday.AddHours(2)));
        }
    }

    private void Refill(DemoRig rig, DateTimeOffset at, List<Entry> entries)
    {
        if (_resin is null || _resinLeft_m3 < rig.Bed_m3)
        {
            _resin = new Purchase
            {
                Id = _ids.Next<Purchase>(),
                At = at.AddDays(-1),
                Kind = CostKind.Medium,
                What = "mixed-bed resin",
                Volume_m3 = 0.025,
                VolumeWritten = "25 L",
                Amount = 179.00m + _random.Next(4) * 5.50m,
                Currency = "EUR",
                Batch = FormattableString.Invariant($"Q{_random.Next(1000, 10000)}"),
                KeepsUntil = DateOnly.FromDateTime(at.UtcDateTime).AddYears(2),
            };
            _resinLeft_m3 = 0.025;
            entries.Add(_resin);
        }

        if (rig.Fill is { } old)
        {
            // The first version was written in an earlier week; this is its second.
            entries.Add(old with { Version = 1, TakenOutAt = at });
        }

        _resinLeft_m3 -= rig.Bed_m3;
        rig.Renew(1 + Noise(0.06));
        rig.Fill = new Fill
        {
            Id = _ids.Next<Fill>(),
            StageId = rig.Bed.Id,
            Medium = "mixed-bed resin",
            Batch = _resin.Batch,
            Volume_m3 = rig.Bed_m3,
            VolumeWritten = rig.Bed.VolumeWritten,
            PutInAt = at,
            PurchaseId = _resin.Id,
        };
        entries.Add(rig.Fill);
    }

    private async Task MistakesAsync(
        int week,
        DateTimeOffset monday,
        List<Entry> written,
        CancellationToken cancel
    )
    {
        _clock.Now = _clock.Now.AddHours(3);
        switch (week)
        {
            case 9:
                // A slip of the thumb, put right the next day.
                Reading seen = written.OfType<Reading>().First(r => r.Place is Place.Outlet);
                await WriteAsync(
                    "Jon",
                    "",
                    [seen with { Version = 1, Value_SI = 0.03, Written = "30" }],
                    cancel
                );
                _clock.Now = _clock.Now.AddDays(0.5);
                await WriteAsync("Mira", "a slip of the thumb", [seen with { Version = 2 }], cancel);
                break;
            case 23:
                // Logged on both phones.
                Draw twice = written.OfType<Draw>().First() with
                {
                    Id = _ids.Next<Draw>(),
                };
                await WriteAsync("Jon", "", [twice], cancel);
                await WriteAsync(
                    "Mira",
                    "logged on both phones",
                    [twice with { Version = 1, IsDeleted = true }],
                    cancel
                );
                break;
            case 41:
                Edit renamed = await WriteAsync(
                    "Jon",
                    "",
                    [_rigs[1].Rig with { Version = 1, Name = "Van 3" }],
                    cancel
                );
                WriteOutcome undo = await _store.UndoAsync(
                    new EditDraft("Mira", "wrong van", _ids.Next()),
                    renamed.Number,
                    cancel
                );
                Require(undo);
                break;
            case 60:
                await WriteAsync(
                    "Mira",
                    "",
                    [
                        new Note
                        {
                            Id = _ids.Next<Note>(),
                            RigId = _rigs[2].Rig.Id,
                            At = monday.AddDays(2),
                            Text = "Bay shut for frost; housings drained.",
                        },
                    ],
                    cancel
                );
                break;
        }
    }

    private async Task<Edit> WriteAsync(
        string author,
        string reason,
        IReadOnlyCollection<Entry> entries,
        CancellationToken cancel
    ) => Require(await _store.WriteAsync(new EditDraft(author, reason, _ids.Next()), entries, cancel));

    private static Edit Require(WriteOutcome outcome) =>
        outcome.Edit ?? throw new InvalidOperationException(string.Join("; ", outcome.Problems));

    private WashTask Task(string name, double liters, double litersPerMinute) =>
        new()
        {
            Id = _ids.Next<WashTask>(),
            Name = name,
            Volume_m3 = liters / 1000,
            VolumeWritten = FormattableString.Invariant($"{liters} L"),
            Flow_m3_s = litersPerMinute / 60_000,
        };

    private Season Season(string name, int month, double conductance_S_m) =>
        new()
        {
            Id = _ids.Next<Season>(),
            SourceId = _source.Id,
            Name = name,
            StartMonth = month,
            SpecificConductance_S_m = conductance_S_m,
        };

    private Reading Reading(
        DemoRig rig,
        Place place,
        Stage? stage,
        DateTimeOffset at,
        double ppm,
        double temperature_C
    )
    {
        double shown = Math.Max(0, Math.Round(ppm));
        return new Reading
        {
            Id = _ids.Next<Reading>(),
            RigId = rig.Rig.Id,
            Place = place,
            StageId = stage?.Id,
            MeterId = _pocket.Id,
            At = at,
            Measurand = Measurand.DissolvedSolids,
            Value_SI = shown / 1000,
            Written = FormattableString.Invariant($"{shown}"),
            Unit = "ppm",
            Temperature_K = Math.Round(temperature_C) + 273.15,
            IsSettled = _random.Next(10) != 0,
        };
    }

    private Reading Chlorine(DemoRig rig, DateTimeOffset at, int week) =>
        new()
        {
            Id = _ids.Next<Reading>(),
            RigId = rig.Rig.Id,
            Place = Place.Outlet,
            StageId = rig.Stages.First(s => s.Kind is StageKind.CarbonBlock).Id,
            At = at,
            Measurand = Measurand.FreeChlorine,
            Value_SI = week > 90 ? 5e-5 : 2e-5,
            Written = week > 90 ? "0.05" : "<0.02",
            Unit = "mg/L",
            IsBelowLimit = week <= 90,
        };

    private BenchCheck Check(DateTimeOffset at, int week)
    {
        // The pocket meter drifts up by about one part in six hundred a week.
        double shown = Math.Round(42 * (1 + (week / 600.0)) + Noise(0.4));
        return new BenchCheck
        {
            Id = _ids.Next<BenchCheck>(),
            MeterId = _pocket.Id,
            At = at,
            Solution = "KCl 84 µS/cm",
            Reference_SI = 0.042,
            ReferenceUncertainty_SI = 0.0004,
            Shown_SI = shown / 1000,
            ShownWritten = FormattableString.Invariant($"{shown}"),
            Unit = "ppm",
            Temperature_K = 295.15,
        };
    }

    private double Noise(double size) =>
        size * (_random.NextDouble() + _random.NextDouble() + _random.NextDouble() - 1.5);
}
