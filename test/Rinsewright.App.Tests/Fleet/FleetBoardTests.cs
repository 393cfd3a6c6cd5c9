using CsCheck;
using Microsoft.EntityFrameworkCore;
using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Demo;
using Rinsewright.Records.Fleet;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Fleet;

/// <summary>The board follows the record, on both databases.</summary>
public sealed class FleetBoardTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    private enum Act
    {
        Read,
        Draw,
        Keep,
        Wear,
        ChangeOut,
        Rename,
        Undo,
        MoveStage,
        DeleteRig,
        Wait,
        Follow,
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task The_board_equals_one_made_anew_whatever_was_written(DatabaseKind database)
    {
        Assert.SkipWhen(
            database is DatabaseKind.Postgres && TestRecord.PostgresServer is null,
            "RINSEWRIGHT_TEST_POSTGRES names no PostgreSQL server"
        );
        await Gen.Int[0, (int)Act.Follow]
            .Select(a => (Act)a)
            .Select(Gen.Int[0, 1000])
            .Array[1, 25]
            .Repeat()
            .SampleAsync(steps => WalkAsync(database, steps), iter: 8, threads: 1);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Many_rigs_are_ordered_by_the_database_as_by_the_rule(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        await new ManyRigs(record.Store, seed: 5).WriteAsync(120, vans: 4, Stop);
        var board = new FleetBoard(record.Store);
        Assert.Equal(120, await board.FollowAsync(Stop));
        Assert.Empty(await board.DifferencesAsync(Stop));
        await using LogbookContext context = record.Store.Read();
        List<FleetRig> rows = await FleetRule
            .Ordered(context.Set<FleetRig>().AsNoTracking())
            .ToListAsync(Stop);
        Assert.Equal(FleetRule.Ordered(rows.AsQueryable().Reverse()), rows);
        // The generator made some of every kind.
        Assert.Equal(Enum.GetValues<FleetUrgency>().Order(), rows.Select(r => r.Urgency).Distinct());
        Assert.Equal(
            FleetReasons.NoWater | FleetReasons.NoFill | FleetReasons.NoForecast,
            rows.Where(r => r.Urgency is FleetUrgency.Unknown)
                .Aggregate(FleetReasons.None, (all, r) => all | r.Reasons) & ~FleetReasons.Silent
        );
        Assert.All(
            rows.Where(r => r.ForecastAt is not null),
            r => Assert.True(r.DueFrom <= r.DueAt || r.Urgency is FleetUrgency.PastLine)
        );
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_stage_that_moves_to_another_rig_leaves_the_first(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        var story = await Story.BeginAsync(record);
        KeptForecast kept = story.Entries.Kept(story.Fill, record.Clock.GetUtcNow(), i => i / 97.0) with
        {
            Line = "20 uS/cm",
        };
        await record.WriteAsync(kept);
        await story.RowAsync();
        var other = new Rig { Id = record.Store.Ids.Next<Rig>(), Name = "Van 2" };
        await record.WriteAsync(
            other,
            story.Entries.Bed with
            {
                Version = 1,
                RigId = other.Id,
            },
            kept with
            {
                Id = record.Store.Ids.Next<KeptForecast>(),
                RigId = other.Id,
            }
        );
        var board = new FleetBoard(record.Store);
        await board.FollowAsync(Stop);
        Assert.Empty(await board.DifferencesAsync(Stop));
        await using LogbookContext context = record.Store.Read();
        Assert.Equal(other.Id, (await context.Set<FleetStage>().SingleAsync(Stop)).RigId);
    }

    [Fact]
    public async Task A_change_out_takes_a_rig_off_the_top_until_its_new_fill_is_forecast()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        var story = await Story.BeginAsync(record);
        await record.WriteAsync(
            story.Entries.Kept(story.Fill, record.Clock.GetUtcNow(), i => i < 30 ? 0 : i / 97.0) with
            {
                Line = "20 uS/cm",
                PassedNow = 0.75,
            }
        );
        FleetRig past = await story.RowAsync();
        Assert.Equal((FleetUrgency.PastLine, record.Clock.GetUtcNow()), (past.Urgency, past.PastAt));
        // A day later it is still past since the first time that a forecast said so.
        record.Clock.Advance(TimeSpan.FromDays(1));
        await record.WriteAsync(
            story.Entries.Kept(story.Fill, record.Clock.GetUtcNow(), i => i < 35 ? 0 : i / 97.0) with
            {
                Line = "20 uS/cm",
                PassedNow = 0.85,
            }
        );
        FleetRig still = await story.RowAsync();
        Assert.Equal(past.PastAt, still.PastAt);
        Assert.Equal(record.Clock.GetUtcNow(), still.ForecastAt);
        Fill fresh = story.Fill with
        {
            Id = record.Store.Ids.Next<Fill>(),
            PutInAt = record.Clock.GetUtcNow(),
        };
        Edit change = await record.WriteAsync(
            (await record.ReadAsync(story.Fill.Id)) with
            {
                TakenOutAt = fresh.PutInAt,
            },
            fresh
        );
        FleetRig changed = await story.RowAsync();
        Assert.Equal((FleetUrgency.Unknown, FleetReasons.NoForecast), (changed.Urgency, changed.Reasons));
        Assert.Null(changed.DueAt);
        Assert.Empty((await record.Store.UndoAsync(TestRecord.Draft, change.Number, Stop)).Problems);
        Assert.Equal(FleetUrgency.PastLine, (await story.RowAsync()).Urgency);
    }

    [Fact]
    public async Task Time_alone_makes_a_rig_silent_and_a_reading_makes_it_heard_again()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        var story = await Story.BeginAsync(record);
        await record.WriteAsync(
            story.Entries.Reading(record.Clock.GetUtcNow(), ppm: 4),
            story.Entries.Kept(story.Fill, record.Clock.GetUtcNow(), i => 10 + (i / 97.0)) with
            {
                Line = "20 uS/cm",
            }
        );
        FleetRig heard = await story.RowAsync();
        Assert.Equal((FleetUrgency.Fine, "4 ppm"), (heard.Urgency, heard.ReadWritten));
        record.Clock.Advance(FleetRule.SilentAfter);
        FleetRig silent = await story.RowAsync();
        Assert.Equal((FleetUrgency.Silent, FleetReasons.Silent), (silent.Urgency, silent.Reasons));
        await record.WriteAsync(story.Entries.Reading(record.Clock.GetUtcNow(), ppm: 5));
        FleetRig again = await story.RowAsync();
        Assert.Equal((FleetUrgency.Fine, "5 ppm"), (again.Urgency, again.ReadWritten));
    }

    [Fact]
    public async Task An_organisation_sees_its_own_rows_only_and_none_of_how_far_the_whole_was_followed()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        Organisation own = new() { Id = record.Store.Ids.Next<Organisation>(), Name = "First" };
        Organisation other = new() { Id = record.Store.Ids.Next<Organisation>(), Name = "Second" };
        var mine = new Entries(record.Store.Ids);
        var theirs = new Entries(record.Store.Ids);
        await record.WriteAsync([
            own,
            other,
            mine.Source,
            mine.Rig with
            {
                OrganisationId = own.Id,
            },
            mine.Bed,
            theirs.Source,
            theirs.Rig with
            {
                OrganisationId = other.Id,
            },
        ]);
        await new FleetBoard(record.Store).FollowAsync(Stop);
        await using LogbookContext whole = record.Store.Read();
        Assert.Equal(2, await whole.Set<FleetRig>().CountAsync(Stop));
        await using LogbookContext scoped = record.Store.Within(new RecordScope(own.Id, "Ana")).Read();
        Assert.Equal(mine.Rig.Id, (await scoped.Set<FleetRig>().SingleAsync(Stop)).RigId);
        Assert.Empty(await scoped.Set<FleetMark>().ToListAsync(Stop));
    }

    [Fact]
    public async Task Two_that_follow_at_once_make_one_board()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        await new ManyRigs(record.Store, seed: 6).WriteAsync(40, vans: 2, Stop);
        await Task.WhenAll(
            Enumerable
                .Range(0, 3)
                .Select(_ => Task.Run(() => new FleetBoard(record.Store).FollowAsync(Stop), Stop))
        );
        Assert.Empty(await new FleetBoard(record.Store).DifferencesAsync(Stop));
    }

    private static async Task WalkAsync(DatabaseKind database, (Act Act, int Number)[] steps)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        await new ManyRigs(record.Store, seed: steps.Length).WriteAsync(6, vans: 2, Stop);
        var board = new FleetBoard(record.Store);
        foreach ((Act act, int number) in steps)
        {
            switch (act)
            {
                case Act.Wait:
                    record.Clock.Advance(TimeSpan.FromHours(number / 5.0));
                    break;
                case Act.Follow:
                    await board.FollowAsync(Stop);
                    break;
                default:
                    await WriteAsync(record, act, number);
                    break;
            }
        }

        await board.FollowAsync(Stop);
        Assert.Empty(await board.DifferencesAsync(Stop));
        Assert.Equal(0, await board.FollowAsync(Stop));
    }

    private static async Task WriteAsync(TestRecord record, Act act, int number)
    {
        DateTimeOffset now = record.Clock.GetUtcNow();
        await using LogbookContext context = record.Store.Read();
        List<Rig> rigs = await context.Live<Rig>().OrderBy(r => r.Id).ToListAsync(Stop);
        if (rigs.Count == 0)
        {
            return;
        }

        Rig rig = rigs[number % rigs.Count];
        List<Stage> stages = await context
            .Live<Stage>()
            .Where(s => s.RigId == rig.Id)
            .OrderBy(s => s.Position)
            .ToListAsync(Stop);
        if (stages.Count == 0)
        {
            return;
        }

        Stage stage = stages[number % stages.Count];
        Fill? fill = await context
            .Live<Fill>()
            .Where(f => f.StageId == stage.Id && f.TakenOutAt == null)
            .FirstOrDefaultAsync(Stop);
        var entries = new Entries(record.Store.Ids);
        Entry[] written = act switch
        {
            Act.Read =>
            [
                entries.Reading(now.AddMilliseconds(number)) with
                {
                    RigId = rig.Id,
                    StageId = stage.Id,
                    MeterId = null,
                },
            ],
            Act.Draw =>
            [
                new Draw
                {
                    Id = record.Store.Ids.Next<Draw>(),
                    RigId = rig.Id,
                    At = now.AddHours(-number),
                    Volume_m3 = 0.04,
                    VolumeWritten = "40 L",
                    Basis = VolumeBasis.Measured,
                },
            ],
            Act.Keep when fill is not null =>
            [
                entries.Kept(fill, now, i => Math.Max(0, (i - (number % 50)) / 30.0)) with
                {
                    RigId = rig.Id,
                    StageId = stage.Id,
                    PassedNow = Math.Min(number % 50, 41) / 41.0,
                },
            ],
            Act.Wear when fill is not null =>
            [
                entries.Wear(fill, now, i => Math.Max(0, i - (number % 50))) with
                {
                    RigId = rig.Id,
                },
            ],
            Act.ChangeOut =>
            [
                .. fill is null
                    ? (Entry[])[]
                    : [fill with { TakenOutAt = now > fill.PutInAt ? now : fill.PutInAt }],
                new Fill
                {
                    Id = record.Store.Ids.Next<Fill>(),
                    StageId = stage.Id,
                    Medium = "resin",
                    PutInAt = now,
                },
            ],
            Act.Rename => [rig with { Name = $"Bay {number}", Van = number % 3 == 0 ? null : "South" }],
            Act.MoveStage =>
            [
                stage with
                {
                    RigId = rigs[(number + 1) % rigs.Count].Id,
                    Name = $"Moved {number}",
                    Position = 100 + number,
                },
            ],
            Act.DeleteRig when number % 4 == 0 => [rig with { IsDeleted = true }],
            _ => [],
        };
        if (act is Act.Undo)
        {
            long last = await context.Edits.MaxAsync(e => e.Number, Stop);
            await record.Store.UndoAsync(TestRecord.Draft, last - (number % 3), Stop);
        }
        else if (written.Length > 0)
        {
            await record.WriteAsync(written);
        }
    }

    /// <summary>One rig with a fill, of which things are written one after the other.</summary>
    private sealed record Story(TestRecord Record, Entries Entries, Fill Fill)
    {
        private readonly FleetBoard _board = new(Record.Store);

        public static async Task<Story> BeginAsync(TestRecord record)
        {
            var entries = new Entries(record.Store.Ids);
            var fill = new Fill
            {
                Id = record.Store.Ids.Next<Fill>(),
                StageId = entries.Bed.Id,
                Medium = "mixed-bed resin",
                PutInAt = record.Clock.GetUtcNow().AddDays(-20),
            };
            await record.WriteAsync([
                .. entries.Basis,
                fill,
                new Season
                {
                    Id = record.Store.Ids.Next<Season>(),
                    SourceId = entries.Source.Id,
                    Name = "all year",
                    StartMonth = 1,
                    SpecificConductance_S_m = 0.05,
                },
            ]);
            return new Story(record, entries, fill);
        }

        public async Task<FleetRig> RowAsync()
        {
            await _board.FollowAsync(Stop);
            Assert.Empty(await _board.DifferencesAsync(Stop));
            await using LogbookContext context = Record.Store.Read();
            return await context.Set<FleetRig>().AsNoTracking().SingleAsync(Stop);
        }
    }
}
