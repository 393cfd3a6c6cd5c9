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
        double s = (x - nodes[low]) / width;
        double left = width * Slope(nodes, value, low);
        double right = width * Slope(nodes, value, low + 1);
        double s2 = s * s;
        double s3 = s2 * s;
        return (2 * s3 - 3 * s2 + 1) * value(low)
            + (s3 - 2 * s2 + s) * left
            + (3 * s2 - 2 * s3) * value(low + 1)
            + (s3 - s2) * right;
    }

    private static double Slope(IReadOnlyList<double> nodes, Func<int, double> value, int node)
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
