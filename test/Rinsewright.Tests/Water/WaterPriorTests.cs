using System.Globalization;
using System.Text.Json;
using Rinsewright.Tests.Evidence;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

/// <summary>The prior's parameter file is what a fit to the open analyses gives; RINSEWRIGHT_APPROVE=1 rewrites it.</summary>
public sealed class WaterPriorTests
{
    private const string File = "data/parameters/water-prior.json";
    private const double LeastNitrate_mg_L = 0.05;
    private static readonly string[] Columns = ["Ca", "Mg", "Na", "K", "HCO3", "Cl", "SO4", "NO3"];
    private static readonly double[] EquivalentMasses =
    [
        20.039,
        12.1525,
        22.990,
        39.098,
        61.017,
        35.453,
        48.03,
        62.004,
    ];

    [Fact]
    public void The_parameter_file_is_the_fit_to_the_open_analyses()
    {
        (double[] mean, double[][] covariance) = Fit();
        if (
            string.Equals(
                Environment.GetEnvironmentVariable("RINSEWRIGHT_APPROVE"),
                "1",
                StringComparison.Ordinal
            )
        )
        {
            System.IO.File.WriteAllText(Repository.PathOf(File), Render(mean, covariance));
        }

        using var json = JsonDocument.Parse(System.IO.File.ReadAllText(Repository.PathOf(File)));
        double[] stored =
        [
            .. json.RootElement.GetProperty("mean").EnumerateArray().Select(v => v.GetDouble()),
        ];
        Assert.Equal(mean.Length, stored.Length);
        Assert.All(stored.Zip(mean), p => Assert.Equal(p.Second, p.First, 1e-5));
        JsonElement rows = json.RootElement.GetProperty("covariance");
        Assert.Equal(covariance.Length, rows.GetArrayLength());
        Assert.All(
            rows.EnumerateArray().Zip(covariance),
            row =>
            {
                Assert.Equal(row.Second.Length, row.First.GetArrayLength());
                Assert.All(
                    row.First.EnumerateArray().Select(v => v.GetDouble()).Zip(row.Second),
                    p => Assert.Equal(p.Second, p.First, 1e-5)
                );
            }
        );
    }

    /// <summary>Through the inverse of the whole covariance, which the code does not take.</summary>
    [Fact]
    public void What_is_known_leaves_the_conditional_normal_law_of_the_rest()
    {
        WaterPrior prior = WaterPrior.Default;
        int n = WaterPrior.Size;
        double[] known =
        [
            .. prior.Mean.Select((m, i) => i is 0 or 2 or 5 or 8 ? m + 0.3 + (0.1 * i) : double.NaN),
        ];
        (int[] free, double[] mean, double[] factor) = prior.Given(known);
        Assert.Equal([1, 3, 4, 6, 7, 9], free);

        double[][] precision = Inverse([
            .. Enumerable.Range(0, n).Select(r => prior.Covariance[(r * n)..((r + 1) * n)]),
        ]);
        int[] given = [.. Enumerable.Range(0, n).Except(free)];
        double[][] covariance = Inverse([.. free.Select(r => free.Select(c => precision[r][c]).ToArray())]);
        double[] pull = [.. free.Select(r => given.Sum(g => precision[r][g] * (known[g] - prior.Mean[g])))];
        for (int r = 0; r < free.Length; r++)
        {
            Assert.Equal(prior.Mean[free[r]] - covariance[r].Zip(pull, (a, b) => a * b).Sum(), mean[r], 1e-9);
            for (int c = 0; c < free.Length; c++)
            {
                double product = Enumerable
                    .Range(0, Math.Min(r, c) + 1)
                    .Sum(k => factor[(r * free.Length) + k] * factor[(c * free.Length) + k]);
                Assert.Equal(covariance[r][c], product, 1e-9);
            }
        }
    }

    private static double[][] Inverse(double[][] matrix)
    {
        int n = matrix.Length;
        double[][] work =
        [
            .. matrix.Select(
                (row, r) => row.Concat(Enumerable.Range(0, n).Select(c => r == c ? 1.0 : 0)).ToArray()
            ),
        ];
        for (int k = 0; k < n; k++)
        {
            double pivot = work[k][k];
            work[k] = [.. work[k].Select(v => v / pivot)];
            foreach (int r in Enumerable.Range(0, n).Where(r => r != k))
            {
                double share = work[r][k];
                work[r] = [.. work[r].Zip(work[k], (a, b) => a - (share * b))];
            }
        }

        return [.. work.Select(row => row[n..])];
    }

    /// <summary>
    /// Mean and covariance over the waters of pH 6 and above; ions not found count as half the least found. Silica is not
    /// in the main set: its law is our choice (median 9 mg/L, factor 2 either way) and independent.
    /// </summary>
    private static (double[] Mean, double[][] Covariance) Fit()
    {
        DataTable table = DataTable.Read("data/published/waters/major-ions.csv");
        List<DataTable.Row> rows = [.. table.Rows.Where(r => r.Has("pH") && r.Number("pH") >= 6)];
        double[][] points =
        [
            .. Columns.Select(
                (column, i) =>
                {
                    double least = 0.5 * rows.Select(r => r.Number(column)).Where(v => v > 0).Min();
                    double floor = i == Columns.Length - 1 ? LeastNitrate_mg_L : least;
                    return rows.Select(r => Math.Log(Math.Max(r.Number(column), floor) / EquivalentMasses[i]))
                        .ToArray();
                }
            ),
            [.. rows.Select(r => r.Number("pH"))],
        ];
        double[] mean = [.. points.Select(p => p.Average()), Math.Log(9 / 60.084)];
        int size = mean.Length;
        var covariance = new double[size][];
        for (int r = 0; r < size; r++)
        {
            covariance[r] = new double[size];
            for (int c = 0; c < size; c++)
            {
                covariance[r][c] =
                    r == size - 1 || c == size - 1
                        ? (r == c ? Math.Log(2) * Math.Log(2) : 0)
                        : points[r].Zip(points[c], (a, b) => (a - mean[r]) * (b - mean[c])).Sum()
                            / (rows.Count - 1);
            }
        }

        return (mean, covariance);
    }

    private static string Render(double[] mean, double[][] covariance)
    {
        string Numbers(double[] v) =>
            string.Join(", ", v.Select(x => Math.Round(x, 6).ToString(CultureInfo.InvariantCulture)));
        string rows = string.Join(",\n    ", covariance.Select(r => $"[{Numbers(r)}]"));
        return $$"""
            {
              "about": "Mean and covariance of ln(eq/m3) of Ca, Mg, Na, K, alkalinity, Cl, SO4, NO3, then pH, then ln(mol/m3) of silica. Fitted by test/Rinsewright.Tests/Water/WaterPriorTests.cs to data/published/waters/major-ions.csv; silica is our choice.",
              "source": "stuyfzand1987, bcwells; silica our choice",
              "mean": [{{Numbers(mean)}}],
              "covariance": [
                {{rows}}
              ]
            }

            """.ReplaceLineEndings("\n");
    }
}
