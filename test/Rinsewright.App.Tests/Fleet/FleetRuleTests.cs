using CsCheck;
using Rinsewright.Records.Fleet;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Logbook;

namespace Rinsewright.App.Tests.Fleet;

/// <summary>The order of the board.</summary>
public sealed class FleetRuleTests
{
    private static readonly DateTimeOffset Now = new(2027, 3, 1, 9, 0, 0, TimeSpan.Zero);

    private static readonly FleetReasons[] Missing =
    [
        FleetReasons.None,
        FleetReasons.None,
        FleetReasons.NoWater,
        FleetReasons.NoFill,
        FleetReasons.NoForecast,
    ];

    private static readonly Gen<FleetRig> Rigs =
        from heard in Gen.Double[-1, 20].Nullable()
        from missing in Gen.Int[0, Missing.Length - 1].Select(i => Missing[i])
        from stages in Stages.Array[0, 3]
        from id in Gen.Guid
        select FleetRule.Judge(
            RigOf(id, heard is { } days ? Now.AddDays(-days) : null, missing),
            missing is FleetReasons.None ? stages : [],
            Now
        );

    private static Gen<FleetStage> Stages =>
        from past in Gen.Double[-20, 40].Nullable()
        from service in Gen.Double[-20, 200].Nullable()
        from id in Gen.Guid
        select StageOf(id, past, service);

    [Fact]
    public void The_order_is_total_and_does_not_hang_on_the_order_before() =>
        Rigs.Array[0, 30]
            .Select(Gen.Int)
            .Repeat()
            .Sample(
                (rigs, seed) =>
                {
                    FleetRig[] ordered = [.. FleetRule.Ordered(rigs.AsQueryable())];
                    FleetRig[] shuffled = [.. rigs];
                    new Random(seed).Shuffle(shuffled);
                    Assert.Equal(ordered, FleetRule.Ordered(shuffled.AsQueryable()));
                    foreach ((FleetRig one, FleetRig next) in ordered.Zip(ordered.Skip(1)))
                    {
                        Assert.True(one.Urgency <= next.Urgency);
                        Assert.True(one.Urgency < next.Urgency || one.RankAt <= next.RankAt);
                    }
                },
                iter: 200
            );

    [Fact]
    public void A_rig_stays_where_it_is_until_the_instant_at_which_it_changes() =>
        Rigs.Select(Stages.Array[0, 3], Gen.Double[0, 60])
            .Repeat()
            .Sample(
                (rig, stages, later) =>
                {
                    FleetRig now = FleetRule.Judge(rig, stages, Now);
                    DateTimeOffset end = now.ChangesAt ?? DateTimeOffset.MaxValue.AddDays(-1);
                    DateTimeOffset before =
                        Now.AddDays(later) < end ? Now.AddDays(later) : end.AddMilliseconds(-1);
                    Assert.Equal(now, FleetRule.Judge(now, stages, before < Now ? Now : before));
                },
                iter: 1000
            );

    [Theory]
    [InlineData(-2.0, null, 1.0, FleetUrgency.PastLine, FleetReasons.PastLine)]
    [InlineData(5.0, null, 1.0, FleetUrgency.Due, FleetReasons.DueThisWeek)]
    [InlineData(30.0, 6.0, 1.0, FleetUrgency.Due, FleetReasons.DueThisWeek)]
    [InlineData(30.0, -6.0, 1.0, FleetUrgency.Due, FleetReasons.DueThisWeek)]
    [InlineData(-2.0, null, 9.0, FleetUrgency.PastLine, FleetReasons.PastLine | FleetReasons.Silent)]
    [InlineData(30.0, null, 9.0, FleetUrgency.Silent, FleetReasons.Silent)]
    [InlineData(30.0, null, 6.9, FleetUrgency.Fine, FleetReasons.None)]
    [InlineData(null, null, 1.0, FleetUrgency.Fine, FleetReasons.None)]
    public void What_is_passed_due_or_silent_is_said(
        double? pastIn_d,
        double? serviceIn_d,
        double heard_d,
        FleetUrgency urgency,
        FleetReasons reasons
    )
    {
        FleetRig rig = FleetRule.Judge(
            RigOf(Guid.NewGuid(), Now.AddDays(-heard_d), FleetReasons.None),
            [StageOf(Guid.NewGuid(), pastIn_d, serviceIn_d)],
            Now
        );
        Assert.Equal((urgency, reasons), (rig.Urgency, rig.Reasons));
    }

    [Fact]
    public void The_chance_grows_from_quantile_to_quantile_and_stays_below_what_is_out_of_sight()
    {
        double?[] days =
        [
            .. Enumerable
                .Range(0, 41)
                .Select(i =>
                    i < 8 ? 0
                    : i < 31 ? i - 7.0
                    : (double?)null
                ),
        ];
        Assert.Equal(7 / 40.0, KeptQuantiles.ChanceBy(days, -3));
        Assert.Equal(7 / 40.0, KeptQuantiles.ChanceBy(days, 0));
        Assert.Equal(8 / 40.0, KeptQuantiles.ChanceBy(days, 1), 1e-12);
        Assert.Equal(8.5 / 40.0, KeptQuantiles.ChanceBy(days, 1.5), 1e-12);
        Assert.Equal(30 / 40.0, KeptQuantiles.ChanceBy(days, 1000), 1e-12);
        double?[] certain = [.. Enumerable.Range(0, 41).Select(i => (double?)(5 + i))];
        Assert.Equal((0, 1), (KeptQuantiles.ChanceBy(certain, 4.9), KeptQuantiles.ChanceBy(certain, 45)));
    }

    private static FleetRig RigOf(Guid id, DateTimeOffset? heardAt, FleetReasons missing) =>
        new()
        {
            RigId = new Id<Rig>(id),
            Name = "Bay",
            TimeZone = "UTC",
            Sought = "BAY",
            Reasons = missing,
            Urgency = FleetUrgency.Unknown,
            RankAt = DateTimeOffset.UnixEpoch,
            HeardAt = heardAt,
        };

    private static FleetStage StageOf(Guid id, double? pastIn_d, double? serviceIn_d)
    {
        DateTimeOffset? past = pastIn_d is { } p ? Now.AddDays(p) : null;
        DateTimeOffset? service = serviceIn_d is { } s ? Now.AddDays(s) : null;
        return new FleetStage
        {
            StageId = new Id<Stage>(id),
            RigId = default,
            Name = "Polisher",
            Kind = StageKind.MixedBed,
            Medium = "resin",
            PastAt = past,
            ServiceUntil = service,
            DueAt = past is null || service < past ? service : past,
        };
    }
}
