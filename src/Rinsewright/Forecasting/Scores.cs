using System.Runtime.InteropServices;

namespace Rinsewright.Forecasting;

/// <summary>
/// Where the truth lies in the distribution that was forecast: the shares of it below the least and up to the most that the
/// truth may be. A calibrated forecaster's truths are spread evenly within their places (key <c>czado2009</c>).
/// </summary>
/// <param name="Below">Share of the forecast below the least [-].</param>
/// <param name="UpTo">Share of the forecast up to the most [-].</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct TruthPlace(double Below, double UpTo)
{
    /// <summary>Probability that the truth lies in the lower share of the forecast, even within its place [-].</summary>
    /// <param name="share">The share, 0 to 1 [-].</param>
    public double InLower(double share) =>
        UpTo > Below ? Math.Clamp((share - Below) / (UpTo - Below), 0, 1) // eq. forecast-10
        : share > Below ? 1
        : share < Below ? 0
        : 0.5;
}

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

    /// <summary>
    /// Continuous ranked probability score of a forecast that is kept as quantiles, in the unit of the quantity, against a truth
    /// of which only bounds may be known (key <c>avati2020</c>): what the forecast put on the wrong side of them. With equal bounds
    /// it is the usual, proper score; otherwise the least that this can be for a truth between them.
    /// </summary>
    /// <param name="quantiles">Quantiles at even probabilities from 0 to 1, ascending and finite; at least two [any].</param>
    /// <param name="least">The least that the truth may be [any].</param>
    /// <param name="most">The most that it may be, not below the least; infinite when it is not known [any].</param>
    public static double Crps(ReadOnlySpan<double> quantiles, double least, double most)
    {
        Require(quantiles, least, most);
        int last = quantiles.Length - 1;
        double score = Math.Max(least - quantiles[last], 0) + Math.Max(quantiles[0] - most, 0);
        for (int i = 0; i < last; i++)
        {
            (double from, double to) = (quantiles[i], quantiles[i + 1]);
            double ShareAt(double value) => (i + (value - from) / (to - from)) / last;
            double end = Math.Min(to, least);
            if (end > from)
            {
                score += (end - from) * MeanSquare((double)i / last, ShareAt(end));
            }

            double start = Math.Max(from, most);
            if (start < to)
            {
                score += (to - start) * MeanSquare(1 - ShareAt(start), 1 - (i + 1.0) / last);
            }
        }

        return score; // eq. forecast-9
    }

    /// <summary>Where a truth lies in a forecast that is kept as quantiles.</summary>
    /// <param name="quantiles">Quantiles at even probabilities from 0 to 1, ascending and finite; at least two [any].</param>
    /// <param name="least">The least that the truth may be [any].</param>
    /// <param name="most">The most that it may be, not below the least; infinite when it is not known [any].</param>
    public static TruthPlace Place(ReadOnlySpan<double> quantiles, double least, double most)
    {
        Require(quantiles, least, most);
        return new TruthPlace(
            Share(quantiles, First(quantiles, least, above: false), least),
            Share(quantiles, First(quantiles, most, above: true), most)
        );
    }

    /// <summary>Place of the first quantile at or above a value, or above it; -1 for none.</summary>
    private static int First(ReadOnlySpan<double> quantiles, double value, bool above)
    {
        int at = 0;
        while (at < quantiles.Length && (quantiles[at] < value || (above && quantiles[at] == value)))
        {
            at++;
        }

        return at < quantiles.Length ? at : -1;
    }

    /// <summary>Share of the forecast up to a value, given the place of the first quantile behind it.</summary>
    private static double Share(ReadOnlySpan<double> quantiles, int next, double value)
    {
        if (next <= 0)
        {
            return next < 0 ? 1 : 0;
        }

        (double from, double to) = (quantiles[next - 1], quantiles[next]);
        return (next - 1 + (value - from) / (to - from)) / (quantiles.Length - 1);
    }

    /// <summary>Mean of the square of a share that changes evenly.</summary>
    private static double MeanSquare(double first, double second) =>
        (first * first + first * second + second * second) / 3;

    private static void Require(ReadOnlySpan<double> quantiles, double least, double most)
    {
        if (quantiles.Length < 2)
        {
            throw new ArgumentException("A forecast has at least two quantiles.", nameof(quantiles));
        }

        for (int i = 0; i < quantiles.Length; i++)
        {
            if (!double.IsFinite(quantiles[i]) || (i > 0 && quantiles[i] < quantiles[i - 1]))
            {
                throw new ArgumentException("Quantiles are finite and ascending.", nameof(quantiles));
            }
        }

        if (!double.IsFinite(least) || !(most >= least))
        {
            throw new ArgumentOutOfRangeException(nameof(most), most, "The bounds of a truth are in order.");
        }
    }
}
