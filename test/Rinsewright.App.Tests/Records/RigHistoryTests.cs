using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Records.Trust;

namespace Rinsewright.App.Tests.Records;

public sealed class RigHistoryTests
{
    private const string File = """
        {
          "name": "Van 1",
          "stages": [
            {
              "kind": "exchange-bed",
              "name": "bed",
              "volume": "9 L",
              "innerDiameter": "114 mm",
              "resins": [
                { "kind": "strong-cation", "share": 0.5 },
                { "kind": "strong-anion-1", "share": 0.5 }
              ]
            }
          ]
        }
        """;

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Fills_draws_readings_meters_and_the_design_come_together(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        var entries = new Entries(record.Store.Ids);
        Rig rig = entries.Rig with { RigFile = File };
        Fill first = Filled(0) with { TakenOutAt = At(20) };
        Fill second = Filled(20);
        await record.WriteAsync(
            entries.Source,
            rig,
            entries.Bed,
            entries.Pocket,
            first,
            second,
            Drawn(1, 0.04, entries.Bed.Id),
            Drawn(5, 0.03, null),
            Drawn(21, 0.02, entries.Bed.Id),
            entries.Reading(At(3), ppm: 4),
            entries.Reading(At(22), ppm: 1),
            Total(entries, Place.Outlet, 0, 10.0),
            Total(entries, Place.Outlet, 25, 10.5)
        );

        await using LogbookContext context = record.Store.Read();
        RigHistory history = (await RigHistory.LoadAsync(context, rig.Id))!;
        Assert.Equal(3, history.Draws.Count);
        StageHistory bed = Assert.Single(history.Stages);
        Assert.Same(bed, history.Polisher);
        Assert.Equal([0.07, 0.02], bed.Fills.Select(f => Math.Round(f.Drawn_m3, 9)));
        Assert.Equal(second.Id, bed.Present!.Fill.Id);
        Assert.Equal(first.Id, bed.FillAt(At(19))!.Fill.Id);
        Assert.Null(bed.FillAt(At(-1)));

        Assert.Equal(0.5, bed.Bed()!.Resins[0].Share);
        Assert.Equal(9, bed.Bed()!.Volume.Liters, 1e-9);
        Assert.Equal(10, bed.Bed(second)!.Volume.Liters, 1e-9);

        TrustedReading[] seen = [.. history.StrengthAt(Place.Outlet, entries.Bed.Id)];
        Assert.Equal([8.0, 2.0], seen.Select(r => Math.Round(r.Corrected!.Conductance_uS_cm.Mean, 0)));
        Assert.Equal(0.5 - 0.09, Assert.Single(history.Metered).Unlogged_m3, 1e-9);

        RigHistory then = (await RigHistory.LoadAsync(context, rig.Id, until: At(10)))!;
        Assert.Equal(2, then.Draws.Count);
        Assert.Single(then.Readings, r => r.Corrected is not null);
        Assert.Single(then.Stages[0].Fills);
        Assert.Null(await RigHistory.LoadAsync(context, record.Store.Ids.Next<Rig>()));

        Fill Filled(double day) =>
            new()
            {
                Id = record.Store.Ids.Next<Fill>(),
                StageId = entries.Bed.Id,
                Medium = "mixed-bed resin",
                Volume_m3 = 0.010,
                PutInAt = At(day),
            };
        Draw Drawn(double day, double volume_m3, Id<Stage>? stage) =>
            new()
            {
                Id = record.Store.Ids.Next<Draw>(),
                RigId = rig.Id,
                StageId = stage,
                At = At(day),
                Volume_m3 = volume_m3,
                VolumeWritten = "",
                Basis = VolumeBasis.Measured,
            };
    }

    [Fact]
    public async Task What_two_registers_count_at_once_is_counted_once()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync([
            .. entries.Basis,
            Total(entries, Place.Outlet, 0, 10.0),
            Total(entries, Place.Outlet, 20, 10.4),
            Total(entries, Place.Outlet, 40, 10.9),
            Total(entries, Place.Inlet, 10, 3.0),
            Total(entries, Place.Inlet, 30, 3.5),
            Total(entries, Place.Inlet, 40, 3.7),
            Total(entries, Place.Inlet, 50, 3.8),
        ]);
        await using LogbookContext context = record.Store.Read();
        RigHistory history = (await RigHistory.LoadAsync(context, entries.Rig.Id))!;
        Assert.Equal(
            [(At(0), At(20), 0.4), (At(20), At(40), 0.5), (At(40), At(50), 0.1)],
            history.Metered.Select(p => (p.From, p.To, Math.Round(p.Metered_m3, 9)))
        );
    }

    [Fact]
    public async Task The_source_is_that_of_the_season_and_of_the_readings_nearby()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync([
            .. entries.Basis,
            SeasonFrom("winter", 11, 0.058),
            SeasonFrom("summer", 5, 0.041),
            .. ((double[])[1, 2, 3]).Select(day =>
                entries.Reading(At(day), ppm: 200 + (10 * day)) with
                {
                    Place = Place.Source,
                    StageId = null,
                    Temperature_K = 298.15,
                }
            ),
        ]);
        await using LogbookContext context = record.Store.Read();
        RigHistory history = (await RigHistory.LoadAsync(context, entries.Rig.Id))!;
        SourceAt march = history.SourceAt(At(10));
        Assert.Equal(("winter", 580.0, 3), (march.Season!.Name, march.Stated_uS_cm!.Value, march.Readings));
        Assert.Equal(440, march.Read_uS_cm!.Mean, 1e-6);
        SourceAt may = history.SourceAt(new DateTimeOffset(2026, 5, 1, 0, 0, 0, TimeSpan.Zero));
        // Two in the morning in Vienna: the first of May has begun there.
        Assert.Equal(("summer", 0), (may.Season!.Name, may.Readings));
        Assert.Null(may.Read_uS_cm);

        Season SeasonFrom(string name, int month, double conductance_S_m) =>
            new()
            {
                Id = record.Store.Ids.Next<Season>(),
                SourceId = entries.Source.Id,
                Name = name,
                StartMonth = month,
                SpecificConductance_S_m = conductance_S_m,
            };
    }

    [Fact]
    public async Task Without_a_reading_nearby_the_nearest_one_counts_and_says_how_old_it_is()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync([
            .. entries.Basis,
            .. ((double[])[1, 2]).Select(day =>
                entries.Reading(At(day), ppm: 200 + (10 * day)) with
                {
                    Place = Place.Source,
                    StageId = null,
                    Temperature_K = 298.15,
                }
            ),
        ]);
        await using LogbookContext context = record.Store.Read();
        RigHistory history = (await RigHistory.LoadAsync(context, entries.Rig.Id))!;
        SourceAt soon = history.SourceAt(At(10));
        Assert.Equal((2, null), (soon.Readings, soon.OldReadAt));
        SourceAt late = history.SourceAt(At(200));
        Assert.Equal((1, At(2)), (late.Readings, late.OldReadAt!.Value));
        Assert.Equal(440, late.Read_uS_cm!.Mean, 1e-6);
    }

    [Fact]
    public async Task Without_a_file_a_bed_is_the_nearest_generic_size()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.Basis);
        await using LogbookContext context = record.Store.Read();
        RigHistory history = (await RigHistory.LoadAsync(context, entries.Rig.Id))!;
        Assert.Null(history.Design);
        Assert.Equal(10.7, history.Polisher!.Bed()!.Volume.Liters, 1e-9);
        Assert.Equal(2, history.Polisher.Bed()!.Resins.Length);
        Assert.Null(new StageHistory(entries.Bed with { Kind = StageKind.Sediment }, [], null).Bed());
    }

    [Fact]
    public async Task A_rig_file_that_cannot_be_read_is_refused_with_its_problems()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        var entries = new Entries(record.Store.Ids);
        foreach (string file in (string[])["{", "{ \"name\": \"Van 1\", \"stages\": [] }"])
        {
            WriteOutcome outcome = await record.Store.WriteAsync(
                TestRecord.Draft,
                [entries.Source, entries.Rig with { RigFile = file }]
            );
            Assert.Null(outcome.Edit);
            Assert.NotEmpty(outcome.Problems);
        }
    }

    private static Reading Total(Entries entries, Place place, double day, double volume_m3) =>
        entries.Reading(At(day)) with
        {
            Place = place,
            Measurand = Measurand.MeterTotal,
            MeterId = null,
            Value_SI = volume_m3,
            Unit = "m3",
        };

    private static DateTimeOffset At(double day) => TestRecord.Start.AddDays(day);
}
