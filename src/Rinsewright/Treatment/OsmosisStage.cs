using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>A reverse-osmosis unit; it fills a tank at its own pace.</summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="Membrane">The membrane.</param>
public sealed record OsmosisStage(string Name, ReverseOsmosis Membrane) : Stage(Name)
{
    /// <summary>Membrane elements that are changed together.</summary>
    public int Elements { get; init; } = 1;

    /// <summary>Whether a pump, and not the supply, gives the feed pressure.</summary>
    public bool Boosted { get; init; }

    internal override bool BreaksLine => true;

    internal override double Taken_m3(double given_m3) => given_m3 / Membrane.Recovery;

    internal override VolumeFlow? OwnPace(WaterComposition feed) =>
        Membrane.Treat(feed) is { PermeateFlow.CubicMetersPerSecond: > 0.0 } result
            ? result.PermeateFlow
            : null;

    internal override VolumeFlow FeedFlow(WaterComposition feed, VolumeFlow given) =>
        Membrane.Treat(feed) is { FeedFlow.CubicMetersPerSecond: > 0.0 } result ? result.FeedFlow : given;

    /// <inheritdoc/>
    public override (string Item, double Units)? Consumable => ("membrane", Elements);

    /// <inheritdoc/>
    public override FlowElement? Element => null;

    internal override StageReport? Treat(TrainWater feed, StageDuty duty, CancellationToken cancellation)
    {
        if (Membrane.Treat(feed.Composition) is not { } result)
        {
            return null;
        }

        return new StageReport(
            this,
            duty with
            {
                Flow = result.PermeateFlow,
            },
            feed,
            feed with
            {
                Composition = result.Permeate,
            },
            null,
            "the calendar",
            default,
            (1.0 - Membrane.Recovery) / Membrane.Recovery,
            [.. Warnings(feed, duty, result)]
        )
        {
            Power_W = Boosted ? result.PumpPower_W : 0.0,
        };
    }

    internal override Func<TrainWater, Volume, TrainWater?> Open(StageDuty duty) =>
        (feed, _) =>
            Membrane.Treat(feed.Composition) is { } result
                ? feed with
                {
                    Composition = result.Permeate,
                }
                : null;

    private IEnumerable<Warning> Warnings(TrainWater feed, StageDuty duty, ReverseOsmosisResult result)
    {
        if (result.Scaling is not { } scaling)
        {
            yield return new Warning(
                WarningLevel.Caution,
                Name,
                Sentence.Of(
                    "The saturation of the brine could not be worked out: it may scale. Recover less, or soften before it."
                )
            );
        }
        else if (scaling.Worst > 0.0)
        {
            yield return new Warning(
                WarningLevel.Caution,
                Name,
                Sentence.Of(
                    $"The brine is over its saturation (calcite {scaling.Calcite:F1}, gypsum {scaling.Gypsum:F1}, silica {scaling.Silica:F1}): it can scale. Recover less, or soften before it."
                )
            );
        }

        if (feed.Oxidants.FreeChlorine.MilligramsPerLiter > ReverseOsmosis.Defaults["chlorineLimit"].Value)
        {
            yield return new Warning(
                WarningLevel.Caution,
                Name,
                Sentence.Of("Free chlorine reaches the membrane and eats it: carbon belongs before it.")
            );
        }

        const double SecondsPerWeek = 7.0 * 86_400.0;
        double hours = duty.Weekly_m3 / double.Max(1e-12, result.PermeateFlow.CubicMetersPerSecond) / 3600.0;
        if (hours > SecondsPerWeek / 3600.0)
        {
            yield return new Warning(
                WarningLevel.Caution,
                Name,
                Sentence.Of($"It gives {result.PermeateFlow} and would have to run {hours:F0} h a week.")
            );
        }
    }
}
