using Rinsewright.Treatment.Beds;

namespace Rinsewright.Treatment;

/// <summary>
/// What the chlorine that passes the carbon does to the resin behind it (docs/models/carbon.md): it destroys groups in
/// proportion to its amount. No constant is published; the shares are ours and wide.
/// </summary>
internal static class ChlorineHarm
{
    private static readonly Assumption Anion = CarbonBlock.Defaults["anionGroupsLostPerChlorine"];
    private static readonly Assumption Cation = CarbonBlock.Defaults["cationGroupsLostPerChlorine"];

    /// <summary>Share of the capacity lost [-], that of the resin which loses most.</summary>
    /// <param name="beds">The beds of one row.</param>
    /// <param name="oxidants">What reaches them.</param>
    /// <param name="passed_m3">Water passed through the row [m³].</param>
    public static double Lost(IReadOnlyList<ExchangeBed> beds, Oxidants oxidants, double passed_m3) =>
        Lost(beds, oxidants, passed_m3, a => a.Value);

    /// <summary>That share with its range, for people.</summary>
    public static string InWords(IReadOnlyList<ExchangeBed> beds, Oxidants oxidants, double passed_m3)
    {
        double Percent(Func<Assumption, double> of) => 100.0 * Lost(beds, oxidants, passed_m3, of);
        return FormattableString.Invariant(
            $"{Percent(a => a.Value):G2} % ({Percent(a => a.Low):G2}–{Percent(a => a.High):G2} %)"
        );
    }

    private static double Lost(
        IReadOnlyList<ExchangeBed> beds,
        Oxidants oxidants,
        double passed_m3,
        Func<Assumption, double> of
    )
    {
        double chlorine_mol =
            oxidants.Total.KilogramsPerCubicMeter * passed_m3 / CarbonBlock.ChlorineMolarMass_kg_mol;
        double worst = 0.0;
        foreach ((int sign, Assumption groups) in (ReadOnlySpan<(int, Assumption)>)[(1, Cation), (-1, Anion)])
        {
            double capacity_eq = beds.Sum(b => b.CapacityEquivalents(sign));
            worst = capacity_eq > 0.0 ? double.Max(worst, of(groups) * chlorine_mol / capacity_eq) : worst; // eq. carbon-6
        }

        return double.Min(1.0, worst);
    }
}
