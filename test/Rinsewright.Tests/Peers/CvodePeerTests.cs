using System.Diagnostics;
using System.Globalization;
using Rinsewright.Tests.Evidence;

namespace Rinsewright.Tests.Peers;

/// <summary>The general-purpose integrator of bench/compare still builds and solves the bed equations right.</summary>
[Trait("Category", "Peer")]
public sealed class CvodePeerTests : IDisposable
{
    private static readonly string[] Ions = ["Na", "K", "Mg", "Ca", "Cl", "NO3", "SO4", "TIC", "Si"];

    private readonly string _folder = Directory.CreateTempSubdirectory("rinsewright-peer").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void The_peer_reproduces_the_stored_curve_and_converges_at_second_order()
    {
        Assert.SkipUnless(
            File.Exists("/usr/include/cvode/cvode.h"),
            "SUNDIALS is not installed (Debian: libsundials-dev)"
        );
        string program = Path.Combine(_folder, "bed_cvode");
        Run(Repository.PathOf("bench/compare/cvode/build.sh"), [program]);
        DataTable stored = DataTable.Read("data/reference-codes/sundials-cvode/soft-19-L-per-min.csv");

        Dictionary<string, double> coarse = Errors(Solve(program, 40), stored);
        Dictionary<string, double> fine = Errors(Solve(program, 80), stored);

        // The stored curve stands within 1.5e-4; 80 cells are about 25 times coarser than what that takes.
        Assert.All(
            Ions,
            ion =>
                Assert.InRange(
                    fine[ion],
                    0,
                    string.Equals(ion, "Si", StringComparison.Ordinal) ? 0.01 : 0.005
                )
        );
        string worst = Ions.MaxBy(ion => coarse[ion])!;
        Assert.True(
            coarse[worst] > 3 * fine[worst],
            $"{worst}: {coarse[worst]} with 40 cells, {fine[worst]} with 80"
        );
    }

    /// <summary>Largest error over the curve, relative to the greatest value of the ion.</summary>
    private static Dictionary<string, double> Errors(List<double[]> curve, DataTable stored)
    {
        Assert.Equal(stored.Rows.Count, curve.Count);
        Dictionary<string, double> errors = new(StringComparer.Ordinal);
        for (int i = 0; i < Ions.Length; i++)
        {
            double[] expected = [.. stored.Rows.Select(r => r.Number($"{Ions[i]}_mol_m3"))];
            errors[Ions[i]] =
                curve.Select((row, n) => Math.Abs(row[1 + i] - expected[n])).Worst() / expected.Max();
        }

        return errors;
    }

    private static List<double[]> Solve(string program, int cells)
    {
        string output = Run(
            program,
            [
                Repository.PathOf("bench/compare/cases/soft-19.txt"),
                $"cells={cells}",
                "rtol=1e-5",
                "points=301",
            ]
        );
        return
        [
            .. output
                .Split('\n', StringSplitOptions.RemoveEmptyEntries)
                .Where(l => char.IsAsciiDigit(l[0]))
                .Select(l =>
                    l.Split(',').Select(f => double.Parse(f, CultureInfo.InvariantCulture)).ToArray()
                ),
        ];
    }

    private static string Run(string program, string[] arguments)
    {
        using Process process = Process.Start(
            new ProcessStartInfo(program, arguments)
            {
                RedirectStandardOutput = true,
                UseShellExecute = false,
            }
        )!;
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        Assert.Equal(0, process.ExitCode);
        return output;
    }
}
