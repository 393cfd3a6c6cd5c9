using System.Globalization;
using Rinsewright.Handouts;

namespace Rinsewright.App.Tests.Handouts;

public sealed class OpenRangeTests
{
    [Theory]
    [InlineData(700, 900, "700 to 900")]
    [InlineData(700, double.PositiveInfinity, "700 or more")]
    [InlineData(double.PositiveInfinity, double.PositiveInfinity, "beyond what was computed")]
    public void A_range_with_an_open_end_reads_so(double low, double high, string text) =>
        Assert.Equal(text, OpenRange.Of(low, high, v => v.ToString(CultureInfo.InvariantCulture)));

    [Fact]
    public void Numerics_that_fail_alone_or_side_by_side_are_told_from_other_faults()
    {
        Assert.Equal(3, UnsolvedException.Unless("Van 1", () => 3));
        Assert.Equal(
            "Van 1: no end.",
            Assert
                .Throws<UnsolvedException>(() =>
                    UnsolvedException.Unless<int>(
                        "Van 1",
                        () => throw new InvalidOperationException("no end.")
                    )
                )
                .Message
        );
        Assert.Throws<UnsolvedException>(() =>
            UnsolvedException.Unless(
                "Van 1",
                () => Parallel.For(0, 2, _ => throw new InvalidOperationException("no end."))
            )
        );
        Assert.Throws<ObjectDisposedException>(() =>
            UnsolvedException.Unless<int>("Van 1", () => throw new ObjectDisposedException("a store"))
        );
    }
}
