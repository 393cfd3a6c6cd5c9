using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using Rinsewright.Drying;
using Rinsewright.Forecasting;
using Rinsewright.Treatment;
using Rinsewright.Water;

namespace Rinsewright.Compare;

/// <summary>Something that has a budget: what was measured, and what its peer takes.</summary>
internal sealed record Budget(string What, string Allowed, string Measured, string Peer);

/// <summary>Costs that have a budget beside the bed.</summary>
internal static class OtherBudgets
{
    private const int Batch = 200;

    /// <summary>Measures them all.</summary>
    /// <param name="hard">The case whose feed is speciated and dried.</param>
    /// <param name="kept">Folder for what is built on the way.</param>
    /// <param name="repeat">How often each is timed.</param>
    public static async Task<List<Budget>> AllAsync(OwnBed hard, string kept, int repeat) =>
        [
            Speciation(hard, repeat),
            DryDownOf(hard, repeat),
            ForecastOf(hard, repeat),
            await SearchAsync(),
            await WaterCommandAsync(kept, repeat),
        ];

    private static Budget Speciation(OwnBed bed, int repeat)
    {
        WaterComposition water = WaterOf(bed);
        SpeciationTarget target = water.Closed;
        var solver = new SpeciationSolver();
        var species = new Speciation();
        void Work()
        {
            for (int n = 0; n < Batch; n++)
            {
                if (solver.Solve(water, target, species) != SpeciationStatus.Solved)
                {
                    throw new InvalidOperationException("The speciation did not converge.");
                }
            }
        }

        double time = 1e3 * Clock.Median(repeat, Work) / Batch; // [µs]
        long before = GC.GetAllocatedBytesForCurrentThread();
        Work();
        long bytes = GC.GetAllocatedBytesForCurrentThread() - before;
        double recorded = RecordedSpeciation();
        return new Budget(
            "one speciation of the hard feed, pH from the balance of charge",
            "20 µs, 0 bytes",
            Report.Invariant($"{time:0.0} µs, {(double)bytes / Batch:0} bytes"),
            Report.Invariant(
                $"general geochemical code {recorded:0} µs: a recorded time, not run here (data/reference-codes/phreeqc/timing.csv); {recorded / time:0.0} times"
            )
        );
    }

    private static Budget DryDownOf(OwnBed bed, int repeat)
    {
        WaterComposition water = WaterOf(bed);
        double time = Clock.Median(3 * repeat, () => DryDown.Of(water));
        return new Budget(
            "dry-down of the hard feed to its last water",
            "2 ms",
            $"{Report.Milliseconds(time)} ms",
            "no time of a peer is recorded"
        );
    }

    /// <summary>A fill with thirty readings, half of them where it begins to run out.</summary>
    private static Budget ForecastOf(OwnBed bed, int repeat)
    {
        const int members = 1000;
        const int readings = 30;
        const double days = 90;
        WaterComposition water = WaterOf(bed);
        double life = bed.Life.Liters / 1.5;
        var fill = new FillCase
        {
            Beds = [bed.Design],
            Waters = [water],
            Flow = bed.Flow,
            Draws = [.. Enumerable.Range(0, (int)days).Select(d => new LoggedDraw(d, 0.9 * life / days))],
            Readings =
            [
                .. Enumerable
                    .Range(1, readings)
                    .Select(n => new FillReading(
                        days * n / readings,
                        n % 3 == 0 ? ReadingSide.Inlet : ReadingSide.Outlet,
                        n % 3 == 0 ? 600
                            : n < 27 ? 0
                            : 4,
                        2
                    )),
            ],
            Now = days,
            Usage = new Usage(7 * life / days),
        };
        LifeLibrary? library = null;
        double building = Clock.Median(
            1,
            () => library = LifeLibrary.Build(fill.Beds, fill.Waters, fill.Flow, members, Throughput.Seed)
        );
        var line = new ChangeOutLine("10 ppm", LineKind.MeterReading, 10);
        double time = Clock.Median(
            repeat,
            () => FillForecast.Of(fill, library!, members, Throughput.Seed).To(line, 0.5)
        );
        return new Budget(
            "forecast of a rig, 1 000 members, 30 readings",
            "1.5 s on two cores",
            Report.Invariant(
                $"{1e-3 * time:0.00} s; its {members} full lives, made once for a rig and kept, {1e-3 * building:0.0} s besides"
            ),
            "–"
        );
    }

    /// <summary>The search of the command line, from start to answer.</summary>
    private static async Task<Budget> SearchAsync()
    {
        string[] arguments =
        [
            "choose",
            Workplace.PathOf("examples/waters/chalk-tap.json"),
            "--habit",
            Workplace.PathOf("examples/habits/two-vans.json"),
            "--prices",
            Workplace.PathOf("examples/prices/example.json"),
            "--json",
        ];
        await RunAsync(Launcher, ["--version"]); // builds the program where it has changed
        (double milliseconds, string output) = await RunAsync(Launcher, arguments);
        using var answer = JsonDocument.Parse(output);
        int considered = answer.RootElement.GetProperty("considered").GetInt32();
        return new Budget(
            "`rinsewright choose` on the chalk tap water, two vans",
            "10 s for 10 000 trains × waters",
            Report.Invariant(
                $"{1e-3 * milliseconds:0.0} s for {considered} trains; {10 * milliseconds / considered:0.0} s for 10 000"
            ),
            "–"
        );
    }

    private static async Task<Budget> WaterCommandAsync(string kept, int repeat)
    {
        string hello = await BuildHelloAsync(Path.Combine(kept, "hello"));
        string water = Workplace.PathOf("examples/waters/chalk-tap.json");
        double own = await MedianAsync(repeat, Launcher, "water", water);
        double peer = await MedianAsync(repeat, "dotnet", hello);
        return new Budget(
            "`rinsewright water FILE`, wall time with start-up",
            "250 ms",
            $"{Report.Milliseconds(own)} ms",
            Report.Invariant(
                $"`dotnet` with a program that prints one line {Report.Milliseconds(peer)} ms; {own / peer:0.0} times"
            )
        );
    }

    /// <summary>Builds a program that prints one line.</summary>
    private static async Task<string> BuildHelloAsync(string folder)
    {
        Directory.CreateDirectory(folder);
        async Task Write(string name, string text) =>
            await File.WriteAllTextAsync(Path.Combine(folder, name), text);
        await Write("Directory.Build.props", "<Project />");
        await Write("Directory.Packages.props", "<Project />");
        await Write("Hello.cs", "System.Console.WriteLine(\"hello\");");
        await Write(
            "Hello.csproj",
            """
            <Project Sdk="Microsoft.NET.Sdk">
              <PropertyGroup><OutputType>Exe</OutputType><TargetFramework>net10.0</TargetFramework></PropertyGroup>
            </Project>
            """
        );
        string output = Path.Combine(folder, "out");
        await RunAsync("dotnet", "build", folder, "-c", "Release", "-nologo", "-v", "quiet", "-o", output);
        return Path.Combine(output, "Hello.dll");
    }

    private static string Launcher => Workplace.PathOf("rinsewright");

    private static async Task<double> MedianAsync(int repeat, string program, params string[] arguments)
    {
        await RunAsync(program, arguments);
        var times = new double[repeat];
        for (int n = 0; n < repeat; n++)
        {
            (times[n], _) = await RunAsync(program, arguments);
        }

        Array.Sort(times);
        return times[repeat / 2];
    }

    private static async Task<(double Milliseconds, string Output)> RunAsync(
        string program,
        params string[] arguments
    )
    {
        long start = Stopwatch.GetTimestamp();
        string output = await ChildProcess.OutputAsync(program, arguments);
        return (Stopwatch.GetElapsedTime(start).TotalMilliseconds, output);
    }

    private static WaterComposition WaterOf(OwnBed bed) => new(bed.Feed, 0, bed.Temperature.Kelvins);

    /// <summary>What a general geochemical code is recorded to take for one speciation within a process [µs].</summary>
    private static double RecordedSpeciation()
    {
        string[] fields = File.ReadLines(Workplace.PathOf("data/reference-codes/phreeqc/timing.csv"))
            .First(l => l.Contains("through the library", StringComparison.Ordinal))
            .Split(',')[^2..];
        return 1e6
            * double.Parse(fields[1], CultureInfo.InvariantCulture)
            / double.Parse(fields[0], CultureInfo.InvariantCulture);
    }
}
