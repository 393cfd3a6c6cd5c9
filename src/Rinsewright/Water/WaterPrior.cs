using System.Text.Json;
using Rinsewright.Numerics;

namespace Rinsewright.Water;

/// <summary>
/// What waters are like before anything is measured: a multivariate normal law of the logarithms of major-ion equivalents,
/// pH and the logarithm of silica, fitted to open analyses (data/parameters/water-prior.json; the fit is repeated by a
/// test). See docs/models/source-water.md.
/// </summary>
internal sealed class WaterPrior
{
    /// <summary>Number of coordinates.</summary>
    public const int Size = 10;

    /// <summary>Coordinate of pH.</summary>
    public const int PH = 8;

    /// <summary>Coordinate of silica, ln(mol/m³).</summary>
    public const int Silica = 9;

    /// <summary>Coordinate of alkalinity, ln(eq/m³).</summary>
    public const int Alkalinity = 4;

    /// <summary>Number of cations: the first coordinates, behind which those of the anions stand up to that of pH.</summary>
    public const int Cations = 4;

    /// <summary>
    /// Factor on the standard deviations of the ions [-], so that ranges hold as often as they say: with the fitted law
    /// itself 90 % ranges held 80 % of the ions of every other measured water. Found on those, checked on the rest.
    /// </summary>
    private const double IonWidening = 1.4;

    private WaterPrior(double[] mean, double[] covariance)
    {
        Mean = mean;
        Covariance = covariance;
    }

    /// <summary>The prior of this build.</summary>
    public static WaterPrior Default { get; } = ParameterFile.Read("water-prior.json", Read);

    /// <summary>The component of each coordinate of an ion; inorganic carbon stands for alkalinity.</summary>
    public static IReadOnlyList<Component> Components { get; } =
    [
        Component.Calcium,
        Component.Magnesium,
        Component.Sodium,
        Component.Potassium,
        Component.InorganicCarbon,
        Component.Chloride,
        Component.Sulfate,
        Component.Nitrate,
    ];

    /// <summary>Equivalents of a coordinate's component in one mole [eq/mol].</summary>
    /// <param name="coordinate">A coordinate of an ion.</param>
    public static double EquivalentsPerMole(int coordinate) => coordinate is 0 or 1 or 6 ? 2 : 1;

    /// <summary>Means: ln(eq/m³), pH, ln(mol/m³) [-]; length <see cref="Size"/>.</summary>
    public double[] Mean { get; }

    /// <summary>Covariances, row after row [-]; length <see cref="Size"/> squared.</summary>
    public double[] Covariance { get; }

    /// <summary>
    /// The law of the coordinates that are not known, given those that are: mean and Cholesky factor of the covariance.
    /// </summary>
    /// <param name="known">Values of the known coordinates, NaN for the others [-]; length <see cref="Size"/>.</param>
    public (int[] Free, double[] Mean, double[] Factor) Given(ReadOnlySpan<double> known)
    {
        List<int> free = [];
        List<int> fixedAt = [];
        for (int i = 0; i < Size; i++)
        {
            (double.IsNaN(known[i]) ? free : fixedAt).Add(i);
        }

        int m = fixedAt.Count;
        var factor = new double[m * m];
        var miss = new double[m];
        for (int r = 0; r < m; r++)
        {
            miss[r] = known[fixedAt[r]] - Mean[fixedAt[r]];
            for (int c = 0; c < m; c++)
            {
                factor[r * m + c] = Covariance[fixedAt[r] * Size + fixedAt[c]];
            }
        }

        Require(DenseMatrix.Cholesky(factor, m));
        Forward(factor, m, miss);
        int n = free.Count;
        var cross = new double[n][];
        var mean = new double[n];
        for (int r = 0; r < n; r++)
        {
            double[] row = [.. fixedAt.Select(f => Covariance[free[r] * Size + f])];
            Forward(factor, m, row);
            cross[r] = row;
            mean[r] = Mean[free[r]] + Dot(row, miss);
        }

        var conditional = new double[n * n];
        for (int r = 0; r < n; r++)
        {
            for (int c = 0; c < n; c++)
            {
                conditional[r * n + c] = Covariance[free[r] * Size + free[c]] - Dot(cross[r], cross[c]);
            }
        }

        Require(DenseMatrix.Cholesky(conditional, n));
        return ([.. free], mean, conditional);
    }

    /// <summary>Solves L·x = b in place for a lower factor [-]; lengths n² and n.</summary>
    private static void Forward(double[] lower, int n, double[] b)
    {
        for (int r = 0; r < n; r++)
        {
            for (int c = 0; c < r; c++)
            {
                b[r] -= lower[r * n + c] * b[c];
            }

            b[r] /= lower[r * n + r];
        }
    }

    private static double Dot(double[] a, double[] b)
    {
        double sum = 0;
        for (int i = 0; i < a.Length; i++)
        {
            sum += a[i] * b[i];
        }

        return sum;
    }

    private static void Require(bool positiveDefinite)
    {
        if (!positiveDefinite)
        {
            throw new InvalidOperationException("The prior's covariance is not positive definite.");
        }
    }

    private static WaterPrior Read(JsonElement root)
    {
        double[] covariance =
        [
            .. root.GetProperty("covariance")
                .EnumerateArray()
                .SelectMany(row => row.EnumerateArray())
                .Select(v => v.GetDouble()),
        ];
        for (int i = 0; i < covariance.Length; i++)
        {
            covariance[i] *= Widening(i / Size) * Widening(i % Size);
        }

        return new WaterPrior(
            [.. root.GetProperty("mean").EnumerateArray().Select(v => v.GetDouble())],
            covariance
        );
    }

    private static double Widening(int coordinate) => coordinate < PH ? IonWidening : 1;
}
