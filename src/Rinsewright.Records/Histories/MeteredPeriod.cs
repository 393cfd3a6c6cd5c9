using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Histories;

/// <summary>Water between two readings of a water meter's register.</summary>
/// <param name="From">The earlier reading.</param>
/// <param name="To">The later one.</param>
/// <param name="Metered_m3">What the register counted [m³].</param>
/// <param name="Logged_m3">What the draws of that time add up to [m³].</param>
public sealed record MeteredPeriod(
    DateTimeOffset From,
    DateTimeOffset To,
    double Metered_m3,
    double Logged_m3
)
{
    /// <summary>What nobody wrote down [m³]; below zero where the draws were put too high.</summary>
    public double Unlogged_m3 => Metered_m3 - Logged_m3;

    /// <summary>
    /// The periods between successive readings of a register; one that went back was changed and starts anew. Registers at one rig
    /// count the same water: where two ran at once the one that covers more time counts.
    /// </summary>
    internal static IReadOnlyList<MeteredPeriod> Of(IEnumerable<Reading> readings, IReadOnlyList<Draw> draws)
    {
        var kept = new List<MeteredPeriod>();
        foreach (
            IReadOnlyList<MeteredPeriod> counted in readings
                .Where(r => r.Measurand is Measurand.MeterTotal && !r.IsBelowLimit)
                .GroupBy(r => (r.Place, r.StageId, r.MeterId))
                .Select(register => OfOne(register, draws))
                .OrderByDescending(periods => periods.Sum(p => (p.To - p.From).TotalDays))
        )
        {
            kept.AddRange([.. counted.Where(p => !kept.Exists(k => k.From < p.To && p.From < k.To))]);
        }

        return [.. kept.OrderBy(p => p.From)];
    }

    private static List<MeteredPeriod> OfOne(IEnumerable<Reading> register, IReadOnlyList<Draw> draws)
    {
        var periods = new List<MeteredPeriod>();
        Reading? last = null;
        foreach (Reading total in register.OrderBy(r => r.At))
        {
            if (last is not null && total.Value_SI >= last.Value_SI)
            {
                periods.Add(
                    new MeteredPeriod(
                        last.At,
                        total.At,
                        total.Value_SI - last.Value_SI,
                        draws.Where(d => d.At > last.At && d.At <= total.At).Sum(d => d.Volume_m3)
                    )
                );
            }

            last = total;
        }

        return periods;
    }
}
