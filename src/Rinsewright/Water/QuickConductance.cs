namespace Rinsewright.Water;

/// <summary>
/// Specific conductance from equivalents alone, by the rule of Standard Methods 2510 A (key <c>standardmethods</c>): thousands of
/// waters are weighed against a reading with it before the members that stay are computed in full.
/// </summary>
internal static class QuickConductance
{
    /// <summary>Limiting equivalent conductivities of Ca, Mg, Na, K, HCO3, Cl, SO4, NO3 at 25 °C [µS/cm per eq/m³].</summary>
    private static ReadOnlySpan<double> Limiting => [59.5, 53.1, 50.1, 73.5, 44.5, 76.4, 80.0, 71.4];

    private static ReadOnlySpan<double> Charge => [2, 2, 1, 1, 1, 1, 2, 1];

    /// <summary>Conductance at 25 °C [µS/cm].</summary>
    /// <param name="equivalents">Equivalents in the order of <see cref="WaterPrior.Components"/> [eq/m³]; length 8.</param>
    public static double At25(ReadOnlySpan<double> equivalents)
    {
        double sum = 0;
        double strength = 0;
        for (int i = 0; i < equivalents.Length; i++)
        {
            sum += Limiting[i] * equivalents[i];
            strength += 0.5e-3 * Charge[i] * equivalents[i];
        }

        double root = Math.Sqrt(strength);
        return sum * Math.Pow(10, root / (1 + root) * -1 + 0.3 * strength); // eq. source-water-3
    }
}
