using CsCheck;
using Microsoft.EntityFrameworkCore;
using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Demo;
using Rinsewright.Records.Fleet;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Fleet;

/// <summary>Lists, rounds and loads, read off the board of many rigs.</summary>
public sealed class FleetRouteTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Pages_searches_and_filters_together_show_every_rig_once_in_the_order_of_the_board(
        DatabaseKind database
    )
    {
        await using TestRecord record = await FilledAsync(database);
        await using LogbookContext context = record.Store.Read();
        DateTimeOffset now = record.Clock.GetUtcNow();
        List<FleetRig> all = await FleetRule
            .Ordered(context.Set<FleetRig>().AsNoTracking())
            .ToListAsync(Stop);
        List<Id<Rig>> paged = [];
        for (int skip = 0; skip < all.Count; skip += 50)
        {
            FleetPart part = await PartAsync(context, new FleetQuery(), skip, now);
            Assert.Equal(all.Count, part.Total);
            paged.AddRange(part.Rows.Select(r => r.Rig.RigId));
        }

        Assert.Equal(all.Select(r => r.RigId), paged);
        foreach (FleetReasons reason in FleetList.Reasons)
        {
            FleetPart part = await PartAsync(context, new FleetQuery { Reason = reason }, 0, now);
            Assert.Equal(all.Count(r => r.Reasons.HasFlag(reason)), part.Total);
            Assert.Equal(part.Total, part.Counts[reason]);
            Assert.All(part.Rows, r => Assert.True(r.Rig.Reasons.HasFlag(reason)));
            Assert.Equal(reason, FleetList.Named(FleetList.NameOf(reason)));
        }

        FleetPart found = await PartAsync(context, new FleetQuery { Text = " quellhaven " }, 0, now);
        Assert.Equal(all.Count(r => r.Site!.StartsWith("Quellhaven", StringComparison.Ordinal)), found.Total);
        FleetPart umlaut = await PartAsync(context, new FleetQuery { Text = "nordmühl" }, 0, now);
        Assert.Equal(all.Count(r => r.Site!.StartsWith("Nordmühl", StringComparison.Ordinal)), umlaut.Total);
        Assert.Equal(
            all.Count(r => r.Van is null),
            (await PartAsync(context, new FleetQuery { Van = "" }, 0, now)).Total
        );
        FleetPart van = await PartAsync(context, new FleetQuery { Van = found.Vans[0] }, 0, now);
        Assert.Equal(
            all.Count(r => string.Equals(r.Van, found.Vans[0], StringComparison.Ordinal)),
            van.Total
        );
        DateTimeOffset end = now.AddDays(3);
        Assert.Equal(
            all.Count(r => r.DueAt < end),
            (await PartAsync(context, new FleetQuery { DueBefore = end }, 0, now)).Total
        );
        // What is past its line is so by at least even odds, of the stage that is changed next.
        Assert.All(
            (await PartAsync(context, new FleetQuery { Reason = FleetReasons.PastLine }, 0, now)).Rows,
            r => Assert.True(r.PassedNow >= 0.5 || r.Rig.DueAt < r.Rig.PastAt)
        );
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task The_rounds_hold_every_rig_that_is_due_once_on_its_day_with_all_that_is_due(
        DatabaseKind database
    )
    {
        await using TestRecord record = await FilledAsync(database);
        await using LogbookContext context = record.Store.Read();
        DateTimeOffset now = record.Clock.GetUtcNow();
        DateTimeOffset end = now + FleetRoute.Ahead;
        IReadOnlyList<FleetRound> rounds = await FleetRoute.OfAsync(context, null, now, Stop);
        List<FleetStage> stages = await context.Set<FleetStage>().AsNoTracking().ToListAsync(Stop);
        List<FleetVisit> visits = [.. rounds.SelectMany(r => r.Days).SelectMany(d => d.Visits)];
        Assert.Equal(
            stages.Where(s => s.DueAt <= end).Select(s => s.StageId).Order(),
            visits.SelectMany(v => v.Stages).Select(s => s.StageId).Order()
        );
        Assert.Equal(visits.Count, visits.Select(v => v.Rig.RigId).Distinct().Count());
        Assert.Equal(rounds.Count, rounds.Select(r => r.Van).Distinct(StringComparer.Ordinal).Count());
        Assert.Null(rounds[^1].Van);
        foreach (FleetRound round in rounds)
        {
            Assert.All(round.Days.SelectMany(d => d.Visits), v => Assert.Equal(round.Van, v.Rig.Van));
            Assert.Equal(round.Days.Select(d => d.Day).Order(), round.Days.Select(d => d.Day));
            Assert.All(round.Days, d => Assert.InRange(d.Day.DayNumber, Day(now), Day(end) + 1));
            foreach (FleetDay day in round.Days)
            {
                // Rigs of one site stand together.
                List<string> sites = [.. day.Visits.Select(v => v.Rig.Site!)];
                Assert.Equal(
                    sites.Distinct(StringComparer.Ordinal).Count(),
                    1
                        + sites
                            .Zip(sites.Skip(1))
                            .Count(p => !string.Equals(p.First, p.Second, StringComparison.Ordinal))
                );
            }

            int planned = round.Days.SelectMany(d => d.Visits).Sum(v => v.Stages.Count);
            Assert.Equal(planned, round.Stock.Sum(s => s.Planned));
            Assert.All(
                round.Stock,
                s => Assert.True(s.Planned <= s.NineInTen && s.Planned <= s.Expected + 1e-9)
            );
            FleetRound alone = Assert.Single(await FleetRoute.OfAsync(context, round.Van ?? "", now, Stop));
            Assert.Equal(round.Visits, alone.Visits);
            Assert.Equal(round.Stock, alone.Stock);
        }

        Assert.Contains(rounds.SelectMany(r => r.Stock), s => s.NineInTen > s.Planned);
    }

    [Fact]
    public void Enough_nine_times_in_ten_is_the_quantile_of_the_sum_over_all_outcomes() =>
        Gen.Double[0, 1]
            .Select(Gen.Int[0, 40])
            .Array[0, 10]
            .Repeat()
            .Sample(
                terms =>
                {
                    List<(double Chance, int Amount)> all = [.. terms];
                    var outcomes = Enumerable
                        .Range(0, 1 << all.Count)
                        .Select(mask =>
                            (
                                Sum: all.Where((_, i) => (mask >> i & 1) == 1).Sum(t => t.Amount),
                                Chance: all.Select((t, i) => (mask >> i & 1) == 1 ? t.Chance : 1 - t.Chance)
                                    .Aggregate(1.0, (a, b) => a * b)
                            )
                        )
                        .GroupBy(o => o.Sum)
                        .OrderBy(g => g.Key)
                        .Select(g => (Sum: g.Key, Chance: g.Sum(o => o.Chance)));
                    double below = 0;
                    int expected = 0;
                    foreach ((int sum, double chance) in outcomes)
                    {
                        below += chance;
                        expected = sum;
                        if (below >= 0.9 - 1e-12)
                        {
                            break;
                        }
                    }

                    Assert.Equal(expected, ChanceSum.Enough(all));
                },
                iter: 200
            );

    [Fact]
    public void Very_many_fills_need_what_their_mean_and_spread_say_as_the_exact_sum_does()
    {
        // 600 fills are summed exactly, ten thousand by mean and variance: the margin over the mean grows as the root.
        static double MarginOf(int count) =>
            (ChanceSum.Enough([.. Enumerable.Repeat((0.2, 100), count)]) - (0.2 * 100 * count))
            / Math.Sqrt(count);
        Assert.Equal(MarginOf(400), MarginOf(10_000), 2.0);
        Assert.Equal(1.2816 * 0.4 * 100, MarginOf(10_000), 0.1);
    }

    [Fact]
    public async Task The_table_has_a_row_for_every_rig_and_reads_back()
    {
        await using TestRecord record = await FilledAsync(DatabaseKind.Sqlite);
        await using LogbookContext context = record.Store.Read();
        using var file = new MemoryStream();
        int written = await FleetCsv.WriteAsync(
            context,
            new FleetQuery(),
            record.Clock.GetUtcNow(),
            file,
            Stop
        );
        string[] lines = System
            .Text.Encoding.UTF8.GetString(file.ToArray())
            .Split('\n', StringSplitOptions.RemoveEmptyEntries);
        Assert.Equal(150, written);
        Assert.Equal(151, lines.Length);
        Assert.StartsWith(
            "rig,id,organisation,site,van,urgency,reasons,next_stage,due_from,",
            lines[0],
            StringComparison.Ordinal
        );
        Assert.Contains("past_line", lines[1], StringComparison.Ordinal);
        Assert.Contains("\"Quellhaven, Mill Lane", string.Join('\n', lines), StringComparison.Ordinal);
    }

    private static int Day(DateTimeOffset at) => DateOnly.FromDateTime(at.UtcDateTime).DayNumber;

    private static Task<FleetPart> PartAsync(
        LogbookContext context,
        FleetQuery query,
        int skip,
        DateTimeOffset now
    ) => FleetList.PageAsync(context, query, skip, 50, now, Stop);

    private static async Task<TestRecord> FilledAsync(DatabaseKind database)
    {
        TestRecord record = await TestRecord.OpenAsync(database);
        await new ManyRigs(record.Store, seed: 7).WriteAsync(150, vans: 4, Stop);
        await new FleetBoard(record.Store).FollowAsync(Stop);
        return record;
    }
}
