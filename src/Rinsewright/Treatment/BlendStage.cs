using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>A stage with a by-pass around it: part of the water goes past.</summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="Share">Share of the water that goes past [-], 0 to 1.</param>
/// <param name="Around">The stage that is passed.</param>
public sealed record BlendStage(string Name, double Share, Stage Around) : Stage(Name)
{
    internal override bool BreaksLine => Around.BreaksLine;

    internal override double Taken_m3(double given_m3) =>
        (Share * given_m3) + Around.Taken_m3((1.0 - Share) * given_m3);

    internal override VolumeFlow? OwnPace(WaterComposition feed) =>
        Around.OwnPace(feed) is { } pace
            ? VolumeFlow.FromCubicMetersPerSecond(pace.CubicMetersPerSecond / (1.0 - Share))
            : null;

    internal override VolumeFlow FeedFlow(WaterComposition feed, VolumeFlow given)
    {
        if (Around.OwnPace(feed) is not { } pace)
        {
            return given;
        }

        double past = Share / (1.0 - Share) * pace.CubicMetersPerSecond;
        return VolumeFlow.FromCubicMetersPerSecond(past + Around.FeedFlow(feed, pace).CubicMetersPerSecond);
    }

    internal override Stage? ChangedAt(ExitLine line) =>
        Around.ChangedAt(line) is { } changed ? this with { Around = changed } : null;

    /// <inheritdoc/>
    public override (string Item, double Units)? Consumable => Around.Consumable;

    /// <inheritdoc/>
    public override FlowElement? Element =>
        Around.Element is { } inner ? new Bypassed(Name, Share, inner) : null;

    internal override StageReport? Treat(TrainWater feed, StageDuty duty, CancellationToken cancellation)
    {
        double through = 1.0 - Share;
        if (Around.Treat(feed, InnerDuty(duty), cancellation) is not { } treated)
        {
            return null;
        }

        return treated with
        {
            Stage = this,
            Duty = OwnPace(feed.Composition) is { } pace ? duty with { Flow = pace } : duty,
            Product = Mixed(feed, treated.Product),
            Life = treated.Life is { } life ? Volume.FromCubicMeters(life.CubicMeters / through) : null,
            WastePerProduct = through * treated.WastePerProduct,
        };
    }

    internal override Func<TrainWater, Volume, TrainWater?> Open(StageDuty duty)
    {
        Func<TrainWater, Volume, TrainWater?> inner = Around.Open(InnerDuty(duty));
        return (feed, given) =>
            inner(feed, Volume.FromCubicMeters((1.0 - Share) * given.CubicMeters)) is { } treated
                ? Mixed(feed, treated)
                : null;
    }

    private StageDuty InnerDuty(StageDuty duty) =>
        duty with
        {
            Flow = VolumeFlow.FromCubicMetersPerSecond((1.0 - Share) * duty.Flow.CubicMetersPerSecond),
            Weekly_m3 = (1.0 - Share) * duty.Weekly_m3,
        };

    private TrainWater Mixed(TrainWater feed, TrainWater treated) =>
        feed with
        {
            Composition = Blend.Mix(feed.Composition, Share, treated.Composition),
            Oxidants = feed.Oxidants.MixedWith(treated.Oxidants, Share),
        };
}
