using Microsoft.Extensions.Time.Testing;
using Rinsewright.Records.Logbook;

namespace Rinsewright.App.Tests.Records;

public sealed class IdTests
{
    [Fact]
    public void Ids_are_version_7_and_carry_their_millisecond()
    {
        var clock = new FakeTimeProvider(TestRecord.Start);
        Guid id = new IdSource(clock).Next<Rig>().Value;
        Assert.Equal(7, id.Version);
        Assert.Equal(0b1000, id.Variant & 0b1100);
        string milliseconds = id.ToString("N")[..12];
        Assert.Equal(TestRecord.Start.ToUnixTimeMilliseconds(), Convert.ToInt64(milliseconds, 16));
    }

    [Fact]
    public void Ids_keep_their_order_when_many_are_made_at_once_and_when_the_clock_goes_back()
    {
        var clock = new FakeTimeProvider(TestRecord.Start) { AutoAdvanceAmount = TimeSpan.Zero };
        var ids = new IdSource(clock);
        var made = new List<string>();
        for (int i = 0; i < 10_000; i++)
        {
            made.Add(ids.Next<Rig>().Value.ToString("N"));
            if (i == 5_000)
            {
                clock.AdjustTime(TestRecord.Start.AddYears(-1));
            }
        }

        Assert.Equal(made.Order(StringComparer.Ordinal), made);
        Assert.Equal(made.Count, made.Distinct(StringComparer.Ordinal).Count());
    }

    [Fact]
    public void A_seed_repeats_the_ids()
    {
        Guid[] Make() =>
            [
                .. Enumerable
                    .Repeat(new IdSource(new FakeTimeProvider(TestRecord.Start), new Random(7)), 9)
                    .Select(ids => ids.Next<Note>().Value),
            ];
        Assert.Equal(Make(), Make());
    }

    [Theory]
    [InlineData(0, 0)]
    [InlineData(4_999, 0)]
    [InlineData(5_000, 10_000)]
    [InlineData(14_999, 10_000)]
    public void Instants_are_rounded_to_the_millisecond(long ticks, long rounded) =>
        Assert.Equal(
            TestRecord.Start.AddTicks(rounded),
            Instant.Round(TestRecord.Start.AddTicks(ticks).ToOffset(TimeSpan.FromHours(5)))
        );
}
