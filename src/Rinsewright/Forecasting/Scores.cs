namespace Rinsewright.Forecasting;

/// <summary>Scores of a forecast once the truth has come in.</summary>
public static class Scores
{
    /// <summary>
    /// Continuous ranked probability score of members of equal weight (key <c>gneiting2007</c>), in the unit of the quantity;
    /// 0 is perfect, and for a single number it is the distance.
    /// </summary>
    /// <param name="members">The members, finite, in any order; at least one [any].</param>
    /// <param name="truth">What came true [any].</param>
    public static double Crps(IEnumerable<double> members, double truth)
    {
        double[] sorted = [.. members.Order()];
        if (sorted.Length == 0)
        {
            throw new ArgumentException("A forecast has at least one member.", nameof(members));
        }

        double distance = 0;
        double spread = 0;
        for (int i = 0; i < sorted.Length; i++)
        {
            distance += Math.Abs(sorted[i] - truth);
            spread += (2 * i + 1 - sorted.Length) * sorted[i];
        }

        double n = sorted.Length;
        return distance / n - spread / (n * n); // eq. forecast-8
    }

    /// <summary>Share of the members that lie below the truth [-]; even over many forecasts when they are calibrated.</summary>
    /// <param name="members">The members; at least one [any].</param>
    /// <param name="truth">What came true [any].</param>
    public static double Rank(IReadOnlyCollection<double> members, double truth) =>
        (members.Count(m => m < truth) + 0.5 * members.Count(m => m == truth)) / members.Count;
}
