using CsCheck;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>Runs that follow curves less closely still pass their lines where the closer ones do.</summary>
public sealed class BedDetailTests
{
    private const int Members = 16;

    [Theory]
    [InlineData("10 ppm", 4)]
    [InlineData("10 ppm", 16)]
    [InlineData("2 ppm", 8)]
    public void Litres_to_a_line_hardly_depend_on_the_detail(string text, double flow_L_min)
    {
        Assert.True(ChangeOutLine.TryParse("line", text, out ChangeOutLine? line, out _));
        foreach (WaterComposition water in (WaterComposition[])[TrainWaters.Soft, TrainWaters.Hard])
        {
            Band close = LitersTo(BedDetail.Curves);
            Band quick = LitersTo(BedDetail.Lines);
            Assert.Equal(1, quick.Median / close.Median, 0.01);
            Assert.Equal(1, quick.P05 / close.P05, 0.01);
            Assert.Equal(1, quick.P95 / close.P95, 0.01);

            Band LitersTo(BedDetail detail) =>
                BedOutlook
                    .Run(
                        [BedOfLiters(10)],
                        [water],
                        VolumeFlow.FromLitersPerMinute(flow_L_min),
                        null,
                        Members,
                        seed: 1,
                        detail
                    )
                    .LitersTo(line, meterFactor: 0.5);
        }
    }

    [Fact]
    public void Beds_that_differ_a_little_are_divided_alike()
    {
        var random = new Random(1);
        ExchangeBed[] drawn =
        [
            .. Enumerable.Range(0, 64).Select(_ => BedUncertainty.Draw(BedOfLiters(10), random)),
        ];
        BedConstants constants = BedConstants.At(288.15);
        Gen.Double[0.5, 60]
            .Repeat()
            .Sample(
                flow =>
                    Assert.InRange(
                        drawn
                            .Select(b =>
                                BedGrid.For(b, VolumeFlow.FromLitersPerMinute(flow), constants).NodeCount
                            )
                            .Distinct()
                            .Count(),
                        1,
                        4
                    ),
                iter: 20
            );
    }

    private static ExchangeBed BedOfLiters(double liters) =>
        new(
            Volume.FromLiters(liters),
            Length.FromMillimeters(150),
            new Resin(ResinKind.StrongCation, 0.4),
            new Resin(ResinKind.StrongAnion1, 0.6)
        );
}
