using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>A tank open to the air, with a delivery pump.</summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="Tank">The tank.</param>
public sealed record TankStage(string Name, StorageTank Tank) : Stage(Name)
{
    private const double DaysPerWeek = 7.0;

    internal override bool BreaksLine => true;

    /// <inheritdoc/>
    public override (string Item, double Units)? Consumable => null;

    /// <inheritdoc/>
    public override FlowElement? Element => null;

    internal override StageReport? Treat(TrainWater feed, StageDuty duty, CancellationToken cancellation)
    {
        double days =
            duty.Weekly_m3 > 0.0 ? DaysPerWeek * Tank.Volume.CubicMeters / duty.Weekly_m3 : DaysPerWeek;
        if (Tank.AfterStanding(feed.Composition, TimeSpan.FromDays(double.Min(days, 365.0))) is not { } stood)
        {
            return null;
        }

        List<Warning> warnings = [];
        if (days > DaysPerWeek)
        {
            warnings.Add(
                new Warning(
                    WarningLevel.Caution,
                    Name,
                    Sentence.Of(
                        $"Water stands in it {days:F0} days without disinfectant: keep it dark and cool, flush and sanitise it, and do not spray it into the air when it has stood warm."
                    )
                )
            );
        }

        return new StageReport(
            this,
            duty,
            feed,
            feed with
            {
                Composition = stood,
            },
            null,
            "",
            default,
            0.0,
            warnings
        );
    }

    internal override Func<TrainWater, Volume, TrainWater?> Open(StageDuty duty) =>
        (feed, _) =>
            Tank.AfterStanding(feed.Composition, TimeSpan.FromDays(DaysPerWeek)) is { } stood
                ? feed with
                {
                    Composition = stood,
                }
                : null;
}
