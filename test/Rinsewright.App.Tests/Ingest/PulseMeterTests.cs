using CsCheck;
using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Ingest;

namespace Rinsewright.App.Tests.Ingest;

public sealed class PulseMeterTests
{
    private static readonly TimeSpan Pause = TimeSpan.FromMinutes(3);
    private static readonly DateTimeOffset Later = TestRecord.Start.AddDays(9);

    /// <summary>Litres that run in each minute.</summary>
    private static readonly Gen<int[]> Minutes = Gen.Frequency((3, Gen.Const(0)), (2, Gen.Int[1, 30])).Array[
        2,
        200
    ];

    [Fact]
    public void Every_liter_is_in_one_draw_whatever_the_counter_does() =>
        Gen.Select(Minutes, Gen.Int[0, 60_000], Gen.Bool)
            .Repeat()
            .Sample(
                (liters, start, rolls) =>
                {
                    double? size = rolls ? 1 << 16 : null;
                    long count = start;
                    List<PulseCount> counts = [new(TestRecord.Start, count)];
                    for (int m = 0; m < liters.Length; m++)
                    {
                        count += 10 * liters[m];
                        counts.Add(
                            new(TestRecord.Start.AddMinutes(m + 1), size is { } s ? count % s : count)
                        );
                    }

                    IReadOnlyList<PulseDraw> draws = new PulseMeter(10, size, Pause).DrawsOf(counts, Later);
                    Assert.Equal(liters.Sum(), 1000 * draws.Sum(d => d.Volume_m3), 1e-9);
                    Assert.All(draws, d => Assert.True(d.IsClosed));
                    for (int i = 1; i < draws.Count; i++)
                    {
                        Assert.True(draws[i].FirstRise - draws[i - 1].End > Pause);
                    }
                }
            );

    [Fact]
    public void A_counter_that_was_set_back_goes_on_from_nought() =>
        Assert.Equal([8, 9], Liters(new PulseMeter(10, null, Pause), (0, 500), (1, 580), (60, 90)));

    [Fact]
    public void A_counter_with_a_size_rolls_over_only_if_the_water_could_have_run()
    {
        var meter = new PulseMeter(10, 1 << 16, Pause);
        Assert.Equal([1.6], Liters(meter, (0, 65_530), (1, 10)));
        // From 500 to 40 would be 6 507.6 L in a minute: it was set back.
        Assert.Equal([4], Liters(meter, (0, 500), (1, 40)));
    }

    [Fact]
    public void Pulses_that_no_hose_could_have_made_are_no_water() =>
        Assert.Equal(
            [8],
            Liters(new PulseMeter(10, null, Pause), (0, 0), (1, 80), (2, 900_000), (3, 900_000))
        );

    [Fact]
    public void A_tap_left_open_makes_a_draw_a_day()
    {
        // From 08:00 for 20 hours, 1 L a minute.
        List<PulseCount> counts =
        [
            .. Enumerable.Range(0, 1201).Select(m => new PulseCount(TestRecord.Start.AddMinutes(m), 10 * m)),
        ];
        IReadOnlyList<PulseDraw> draws = new PulseMeter(10, null, Pause).DrawsOf(counts, Later);
        Assert.Equal([959, 241], draws.Select(d => Math.Round(1000 * d.Volume_m3)));
        Assert.Equal([1, 2], draws.Select(d => d.FirstRise.Day));
    }

    [Fact]
    public void A_draw_is_open_until_its_pause_has_passed()
    {
        PulseCount[] counts = [new(TestRecord.Start, 0), new(TestRecord.Start.AddMinutes(1), 80)];
        var meter = new PulseMeter(10, null, Pause);
        Assert.False(meter.DrawsOf(counts, TestRecord.Start.AddMinutes(4))[0].IsClosed);
        Assert.True(meter.DrawsOf(counts, TestRecord.Start.AddMinutes(4.1))[0].IsClosed);
    }

    [Fact]
    public void As_much_as_a_hose_can_give_is_water_and_the_next_pulse_is_not()
    {
        // 300 L in a minute, and a counter of 16 bits that rolls over with them.
        var meter = new PulseMeter(10, 1 << 16, Pause);
        PulseCount[] most = Counts((0, 0), (1, 3000), (2, 3000 + 3001));
        Assert.Equal([300], meter.DrawsOf(most, Later).Select(d => Math.Round(1000 * d.Volume_m3, 9)));
        Assert.Equal([new DroppedPulses(most[1].At, most[2].At, 3001)], meter.DroppedOf(most));
        Assert.Equal([300], Liters(meter, (0, 65_535 - 2000), (1, 999)));
        Assert.Equal([100], Liters(meter, (0, 65_535 - 2000), (1, 1000)));
    }

    [Fact]
    public void A_draw_begins_at_the_report_before_it_unless_that_is_longer_ago_than_a_pause()
    {
        var meter = new PulseMeter(10, null, Pause);
        PulseDraw near = Assert.Single(meter.DrawsOf(Counts((0, 0), (3, 90)), Later));
        Assert.Equal((TestRecord.Start, TestRecord.Start + Pause), (near.Start, near.End));
        Assert.Equal(0.009 / 180, near.Flow_m3_s!.Value, 1e-12);
        PulseDraw far = Assert.Single(meter.DrawsOf(Counts((0, 0), (3.1, 90)), Later));
        Assert.Equal(far.End, far.Start);
        Assert.Null(far.Flow_m3_s);
    }

    [Fact]
    public void One_report_alone_is_no_water() =>
        Assert.Empty(Liters(new PulseMeter(10, null, Pause), (0, 700)));

    private static IEnumerable<double> Liters(
        PulseMeter meter,
        params (double Minute, double Count)[] counts
    ) => meter.DrawsOf(Counts(counts), Later).Select(d => Math.Round(1000 * d.Volume_m3, 9));

    private static PulseCount[] Counts(params (double Minute, double Count)[] counts) =>
        [.. counts.Select(c => new PulseCount(TestRecord.Start.AddMinutes(c.Minute), c.Count))];
}
