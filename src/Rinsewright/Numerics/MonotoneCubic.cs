namespace Rinsewright.Numerics;

/// <summary>
/// Piecewise cubic interpolation that keeps the data's monotony: slopes by the weighted harmonic mean of Fritsch and
/// Butland (1984), key <c>fritsch1984</c>.
/// </summary>
internal static class MonotoneCubic
{
    /// <summary>Value of the curve at <paramref name="x"/>; outside the nodes the nearest value.</summary>
    /// <param name="nodes">Abscissas, ascending; equal neighbours stand for a jump [any].</param>
    /// <param name="value">Ordinate of a node [any].</param>
    /// <param name="x">Where to evaluate [any].</param>
    public static double Evaluate(IReadOnlyList<double> nodes, Func<int, double> value, double x)
    {
        int last = nodes.Count - 1;
        if (last < 0)
        {
            throw new ArgumentException("There is nothing to interpolate.", nameof(nodes));
        }

        if (x <= nodes[0] || last == 0)
        {
            return value(0);
        }

        if (x >= nodes[last])
        {
            return value(last);
        }

        int low = 0;
        int high = last;
        while (high - low > 1)
        {
            int middle = (low + high) / 2;
            (low, high) = nodes[middle] <= x ? (middle, high) : (low, middle);
        }

        double width = nodes[low + 1] - nodes[low];
        return Between(
            (x - nodes[low]) / width,
            value(low),
            width * Slope(nodes, value, low),
            value(low + 1),
            width * Slope(nodes, value, low + 1)
        );
    }

    /// <summary>Value between two nodes.</summary>
    /// <param name="share">Place between them, 0 to 1 [-].</param>
    /// <param name="left">Ordinate of the first [any].</param>
    /// <param name="leftRise">Its slope times the distance of the nodes [any].</param>
    /// <param name="right">Ordinate of the second [any].</param>
    /// <param name="rightRise">Its slope times the distance of the nodes [any].</param>
    public static double Between(double share, double left, double leftRise, double right, double rightRise)
    {
        double s2 = share * share;
        double s3 = s2 * share;
        return (2 * s3 - 3 * s2 + 1) * left
            + (s3 - 2 * s2 + share) * leftRise
            + (3 * s2 - 2 * s3) * right
            + (s3 - s2) * rightRise;
    }

    /// <summary>Slope of the curve at a node [any].</summary>
    /// <param name="nodes">Abscissas, ascending [any].</param>
    /// <param name="value">Ordinate of a node [any].</param>
    /// <param name="node">The node.</param>
    public static double Slope(IReadOnlyList<double> nodes, Func<int, double> value, int node)
    {
        double? before = node > 0 ? Chord(nodes, value, node - 1) : null;
        double? after = node + 1 < nodes.Count ? Chord(nodes, value, node) : null;
        if (before is not double b)
        {
            return after ?? 0;
        }

        if (after is not double a)
        {
            return b;
        }

        if (!(a * b > 0))
        {
            return 0;
        }

        double widthBefore = nodes[node] - nodes[node - 1];
        double widthAfter = nodes[node + 1] - nodes[node];
        double first = 2 * widthAfter + widthBefore;
        double second = widthAfter + 2 * widthBefore;
        return (first + second) / (first / b + second / a);
    }

    private static double? Chord(IReadOnlyList<double> nodes, Func<int, double> value, int node)
    {
        double width = nodes[node + 1] - nodes[node];
        return width > 0 ? (value(node + 1) - value(node)) / width : null;
    }
}
