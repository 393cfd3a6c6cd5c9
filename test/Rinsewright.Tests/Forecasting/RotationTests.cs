using Rinsewright.Forecasting;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Tests.Forecasting;

/// <summary>Beds in series that move up at the line.</summary>
public sealed class RotationTests
{
    private static readonly FillCase Pair = new()
    {
        Beds = [Bed(2), Bed(2)],
        Waters = SyntheticRigs.Waters,
        Flow = SyntheticRigs.Flow,
        Now = 0,
        Usage = new Usage(140),
    };

    [Fact]
    public void Moving_up_throws_away_less_resin_and_asks_for_more_changes()
    {
        Rotation moved = Rotation.Of(Pair, SyntheticRigs.Line, SyntheticRigs.MeterFactor, 1)!;
        Assert.Equal(2, moved.Beds);
        Assert.InRange(moved.WaterShare.P05, 0.5, 1);
        Assert.InRange(moved.WaterShare.P95, moved.WaterShare.P05, 1);
        Assert.Equal(1 / (2 * moved.WaterShare.Median), moved.CostShare.Median, 12);
        Assert.True(moved.CostShare.P05 < moved.CostShare.P95 && moved.CostShare.P95 < 1);
        Assert.Equal(moved, Rotation.Of(Pair, SyntheticRigs.Line, SyntheticRigs.MeterFactor, 1));
    }

    [Fact]
    public void Beds_that_cannot_change_places_are_not_moved()
    {
        Assert.Null(
            Rotation.Of(Pair with { Beds = [Bed(2)] }, SyntheticRigs.Line, SyntheticRigs.MeterFactor, 1)
        );
        Assert.Null(
            Rotation.Of(
                Pair with
                {
                    Beds = [Bed(4), Bed(2)],
                },
                SyntheticRigs.Line,
                SyntheticRigs.MeterFactor,
                1
            )
        );
    }

    [Fact]
    public void Beds_of_one_size_with_other_resins_cannot_change_places()
    {
        ExchangeBed cation = new(
            Volume.FromLiters(2),
            SyntheticRigs.Beds[0].InnerDiameter,
            new Resin(ResinKind.StrongCation, 1)
        );
        ExchangeBed leaner = Bed(2) with
        {
            Resins = [new Resin(ResinKind.StrongCation, 0.5), new Resin(ResinKind.StrongAnion1, 0.5)],
        };
        foreach (ExchangeBed other in (ExchangeBed[])[cation, leaner])
        {
            FillCase unlike = Pair with { Beds = [other, Bed(2)] };
            Assert.Null(Rotation.Of(unlike, SyntheticRigs.Line, SyntheticRigs.MeterFactor, 1));
        }
    }

    private static ExchangeBed Bed(double liters) =>
        SyntheticRigs.Beds[0] with
        {
            Volume = Volume.FromLiters(liters),
        };
}
