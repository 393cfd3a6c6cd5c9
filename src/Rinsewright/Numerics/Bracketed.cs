namespace Rinsewright.Numerics;

/// <summary>Roots of a function of one variable that changes sign over a bracket.</summary>
internal static class Bracketed
{
    /// <summary>
    /// The root between two points of opposite sign, by the Illinois form of false position, which keeps the bracket
    /// (Dowell and Jarratt 1971, key <c>dowell1971</c>). Where both ends have one sign, the end nearer to zero.
    /// </summary>
    /// <param name="function">The function [-].</param>
    /// <param name="low">Lower end [-], in the unit of the variable.</param>
    /// <param name="high">Upper end [-], in the unit of the variable.</param>
    /// <param name="tolerance">Width of the bracket at which to stop [-], in the unit of the variable.</param>
    public static double Root(Func<double, double> function, double low, double high, double tolerance)
    {
        double atLow = function(low);
        double atHigh = function(high);
        if (atLow * atHigh > 0)
        {
            return Math.Abs(atLow) < Math.Abs(atHigh) ? low : high;
        }

        double root = high;
        int lastSide = 0;
        for (int i = 0; i < 200 && Math.Abs(high - low) > tolerance && atHigh != atLow; i++)
        {
            root = ((low * atHigh) - (high * atLow)) / (atHigh - atLow);
            double atRoot = function(root);
            if (atRoot == 0)
            {
                return root;
            }

            if (atRoot * atHigh > 0)
            {
                high = root;
                atHigh = atRoot;
                atLow *= lastSide == 1 ? 0.5 : 1;
                lastSide = 1;
            }
            else
            {
                low = root;
                atLow = atRoot;
                atHigh *= lastSide == -1 ? 0.5 : 1;
                lastSide = -1;
            }
        }

        return root;
    }
}
