namespace Rinsewright.Drying;

/// <summary>Whether there is time to towel a panel before it dries.</summary>
public enum TowelVerdict
{
    /// <summary>At most one panel in ten dries before the towel comes.</summary>
    InTime,

    /// <summary>Between one in ten and one in two.</summary>
    Close,

    /// <summary>More than one in two: the water dries on the paint.</summary>
    TooLate,
}

/// <summary>
/// When a panel dries, with a range, against the time that rinsing and towelling take. The range holds 80 % of an even set of
/// departures from the stated weather, paint, panel and film; a member that does not dry within a day counts as later than
/// all others.
/// </summary>
/// <param name="Central">The run of the panel as stated.</param>
/// <param name="Early">One in ten panels dries sooner than this; none when fewer than that dry.</param>
/// <param name="Late">One in ten panels dries later than this; none when more than that do not dry.</param>
/// <param name="Wait">The longest wait between rinse and towel.</param>
/// <param name="DryBeforeTowelShare">Share of panels dry before the towel comes [-].</param>
/// <param name="Failed">Members whose integration failed [-]; they are left out.</param>
public sealed record DryingOutlook(
    DryingRun Central,
    TimeSpan? Early,
    TimeSpan? Late,
    TimeSpan Wait,
    double DryBeforeTowelShare,
    int Failed
)
{
    private const int Members = 96;

    /// <summary>Whether there is time to towel; nothing when every member failed.</summary>
    public TowelVerdict? Verdict =>
        Failed == Members
            ? null
            : DryBeforeTowelShare switch
            {
                <= 0.1 => TowelVerdict.InTime,
                <= 0.5 => TowelVerdict.Close,
                _ => TowelVerdict.TooLate,
            };

    /// <summary>
    /// In how many sections to rinse and towel so that nine in ten panels are still wet when the towel comes [-];
    /// the wait of a section is its share of the whole.
    /// </summary>
    public int Sections => Early is { } early ? Math.Max(1, (int)Math.Ceiling(Wait / early)) : 1;

    /// <summary>The outlook of a panel.</summary>
    /// <param name="panel">The panel and its weather.</param>
    /// <param name="rinse">Time that the last rinse of the whole vehicle takes.</param>
    /// <param name="towel">Time that towelling the whole vehicle takes.</param>
    public static DryingOutlook Of(RinsedPanel panel, TimeSpan rinse, TimeSpan towel)
    {
        TimeSpan wait = rinse + towel;
        DryingRun central = panel.Dry();
        List<double> minutes = [];
        int failed = 0;
        for (int n = 0; n < Members; n++)
        {
            DryingRun run = panel.Dry(Departure.Nth(n), 1e-4);
            if (run.Status == DryingStatus.Failed)
            {
                failed++;
            }
            else
            {
                minutes.Add(run.TimeToDry?.TotalMinutes ?? double.PositiveInfinity);
            }
        }

        minutes.Sort();
        double dryBefore = minutes.Count(m => m < wait.TotalMinutes) / (double)Math.Max(1, minutes.Count);
        return new(central, Quantile(minutes, 0.1), Quantile(minutes, 0.9), wait, dryBefore, failed);
    }

    private static TimeSpan? Quantile(List<double> sortedMinutes, double share)
    {
        if (sortedMinutes.Count == 0)
        {
            return null;
        }

        double value = sortedMinutes[(int)(share * (sortedMinutes.Count - 1))];
        return double.IsInfinity(value) ? null : TimeSpan.FromMinutes(value);
    }
}
