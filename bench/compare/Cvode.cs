using System.Globalization;

namespace Rinsewright.Compare;

/// <summary>One run of a solver.</summary>
/// <param name="Curve">What it says leaves the bed.</param>
/// <param name="Milliseconds">Median wall time of one life.</param>
/// <param name="Steps">Steps taken.</param>
/// <param name="BalanceError">What went in against what came out and what is held, as the solver reports it [-].</param>
internal sealed record SolverRun(Curve Curve, double Milliseconds, long Steps, double BalanceError);

/// <summary>The peer: SUNDIALS CVODE on the same equations, compiled from bench/compare/cvode.</summary>
internal sealed class Cvode
{
    private const int GaveUp = 3; // exit code of bed_cvode.c

    private readonly string _program;

    private Cvode(string program) => _program = program;

    /// <summary>Name and version of the library, as the peer prints it.</summary>
    public string Version { get; private set; } = "";

    /// <summary>Compiles the peer. Its time is that of the machine's own instructions.</summary>
    public static async Task<Cvode> BuildAsync(string folder)
    {
        string program = Path.Combine(folder, "bed_cvode");
        await ChildProcess.OutputAsync(Workplace.PathOf("bench/compare/cvode/build.sh"), [program]);
        return new Cvode(program);
    }

    /// <summary>Runs a life that must come to its end.</summary>
    public async Task<SolverRun> SolveAsync(BedCase bed, int points, int repeat, params string[] options) =>
        await TrySolveAsync(bed, points, repeat, options)
        ?? throw new InvalidOperationException(
            $"{bed.Name}: the peer did not finish with {string.Join(' ', options)}."
        );

    /// <summary>Runs a life, or gives nothing when the library gives up on it.</summary>
    public async Task<SolverRun?> TrySolveAsync(BedCase bed, int points, int repeat, params string[] options)
    {
        string[] arguments = [bed.Path, $"points={points}", $"repeat={repeat}", .. options];
        (int code, string output, string errors) = await ChildProcess.RunAsync(_program, arguments);
        if (code == GaveUp)
        {
            return null;
        }

        if (code != 0)
        {
            throw new InvalidOperationException($"{string.Join(' ', arguments)} ended with {code}: {errors}");
        }

        string[] lines = output.Split('\n');
        Dictionary<string, string> said = lines
            .Where(l => l.StartsWith('#'))
            .SelectMany(l => l.Split(' '))
            .Where(w => w.Contains('=', StringComparison.Ordinal))
            .Select(w => w.Split('='))
            .ToDictionary(w => w[0], w => w[1], StringComparer.Ordinal);
        Version = string.Join(' ', lines[0].Split(' ')[1..4]);
        return new SolverRun(
            Curve.Read(lines),
            Number(said["median_ms"]),
            (long)Number(said["steps"]),
            Number(said["balance"])
        );
    }

    private static double Number(string text) =>
        text.Contains("nan", StringComparison.Ordinal)
            ? double.NaN
            : double.Parse(text, CultureInfo.InvariantCulture);
}
