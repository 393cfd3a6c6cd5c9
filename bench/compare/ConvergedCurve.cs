using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace Rinsewright.Compare;

/// <summary>
/// The converged answer of a case: the peer on three grids, each twice as fine as the last, at a tight tolerance, and the
/// limit of the two finest by Richardson's extrapolation. Kept in the artifacts by everything that it depends on.
/// </summary>
/// <param name="Curve">The limit.</param>
/// <param name="Uncertainty">Worst ion: the limits of the two pairs of grids against each other [-].</param>
/// <param name="SlugUncertainty">The same for silica [-].</param>
/// <param name="Order">Observed order of convergence in the grid, of the worst ion [-].</param>
internal sealed record ConvergedCurve(Curve Curve, double Uncertainty, double SlugUncertainty, double Order)
{
    public static async Task<ConvergedCurve> OfAsync(
        BedCase bed,
        Cvode peer,
        int points,
        int finest,
        string folder
    )
    {
        Curve[] curves = new Curve[3];
        for (int n = 0; n < 3; n++)
        {
            int cells = finest >> (2 - n);
            string file = Path.Combine(folder, $"{bed.Name}-{cells}-{Key(bed, points)}.csv");
            if (!File.Exists(file))
            {
                SolverRun run = await peer.SolveAsync(
                    bed,
                    points,
                    1,
                    $"cells={cells}",
                    "rtol=1e-8",
                    "atol=1e-11"
                );
                await File.WriteAllLinesAsync($"{file}.new", run.Curve.ToCsv());
                File.Move($"{file}.new", file, overwrite: true);
            }

            curves[n] = Curve.Read(await File.ReadAllLinesAsync(file));
        }

        Curve limit = Curve.Extrapolate(curves[1], curves[2]);
        CurveError before = CurveError.Of(bed, Curve.Extrapolate(curves[0], curves[1]), limit);
        CurveError coarse = CurveError.Of(bed, curves[0], curves[1]);
        CurveError fine = CurveError.Of(bed, curves[1], curves[2]);
        return new ConvergedCurve(limit, before.Worst, before.Slug, Math.Log2(coarse.Worst / fine.Worst));
    }

    /// <summary>The stored curve of data/reference-codes for a case, or null where there is none.</summary>
    public static Curve? Stored(BedCase bed)
    {
        string file = Workplace.PathOf($"data/reference-codes/sundials-cvode/{bed.Name}-L-per-min.csv");
        return File.Exists(file) ? Curve.Read(File.ReadLines(file)) : null;
    }

    private static string Key(BedCase bed, int points)
    {
        var text = new StringBuilder(points.ToString(CultureInfo.InvariantCulture));
        text.Append(File.ReadAllText(bed.Path));
        foreach (
            string source in Directory
                .GetFiles(Workplace.PathOf("bench/compare/cvode"), "*.?")
                .Order(StringComparer.Ordinal)
        )
        {
            text.Append(File.ReadAllText(source));
        }

        return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text.ToString())))[..12];
    }
}
