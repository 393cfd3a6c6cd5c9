using PublicApiGenerator;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.House;

/// <summary>What others get who take the science as a package.</summary>
public sealed class PackageTests
{
    private const string Surface = "src/Rinsewright/PublicApi.txt";

    [Fact]
    public void The_public_surface_is_the_approved_one()
    {
        string today = typeof(PhysicalConstants).Assembly.GeneratePublicApi(
            new ApiGeneratorOptions { IncludeAssemblyAttributes = false }
        );
        string path = Repository.PathOf(Surface);
        if (Environment.GetEnvironmentVariable("RINSEWRIGHT_APPROVE") is "1")
        {
            File.WriteAllText(path, today.ReplaceLineEndings("\n") + "\n");
        }

        string[] found = today.ReplaceLineEndings("\n").TrimEnd('\n').Split('\n');
        string[] approved = File.ReadAllText(path).ReplaceLineEndings("\n").TrimEnd('\n').Split('\n');
        SourceTree.ExpectNone([
            .. found.Except(approved, StringComparer.Ordinal).Select(l => $"new:  {l}"),
            .. approved.Except(found, StringComparer.Ordinal).Select(l => $"gone: {l}"),
        ]);
        // A line that many types have may be new in one of them.
        Assert.Equal(approved, found);
    }

    [Fact]
    public void The_example_of_its_readme_runs()
    {
#pragma warning disable xUnit1051 // Called as whoever reads the example calls it.
        double[] totals = new double[IonCatalog.ComponentCount]; // [mol/m³]
        totals[(int)Component.Calcium] = 1.87;
        totals[(int)Component.Magnesium] = 0.74;
        totals[(int)Component.Sodium] = 1.09;
        totals[(int)Component.Chloride] = 1.13;
        totals[(int)Component.Sulfate] = 0.57;
        totals[(int)Component.InorganicCarbon] = 4.5;
        var water = new WaterComposition(totals, chargeResidual: 0, temperatureKelvin: 288.15);
        var species = new Speciation();
        SpeciationStatus status = new SpeciationSolver().Solve(
            water,
            SpeciationTarget.PHAndAlkalinity(7.6, 3.9),
            species
        );
        double conductivity_S_m = Conductance.Conductivity(species);

        var bed = new ExchangeBed(
            Volume.FromLiters(4.5),
            Length.FromMeters(0.105),
            new Resin(ResinKind.StrongCation, 0.4),
            new Resin(ResinKind.StrongAnion1, 0.6)
        );
        var flow = VolumeFlow.FromLitersPerMinute(8);
        var temperature = Temperature.FromDegreesCelsius(15);
        var beds = new BedSeries([bed], flow, temperature);
        BedRunStatus run = beds.Advance(totals, temperature, flow, Volume.FromLiters(100));
#pragma warning restore xUnit1051

        Assert.Equal(SpeciationStatus.Solved, status);
        // A hard water at 15 °C: some 0.04 S/m (between the pure and the concentrated end of natural waters).
        Assert.InRange(conductivity_S_m, 0.02, 0.08);
        Assert.Equal(BedRunStatus.Completed, run);
    }

    [Fact]
    public void The_example_of_its_readme_is_the_one_that_runs()
    {
        string readme = File.ReadAllText(Repository.PathOf("src/Rinsewright/README.md"))
            .ReplaceLineEndings("\n");
        string[] example = readme.Split("```csharp\n")[1].Split("\n```")[0].Split('\n');
        string[] here =
        [
            .. File.ReadLines(Repository.PathOf("test/Rinsewright.Tests/House/PackageTests.cs"))
                .Select(l => l.Trim()),
        ];
        int start = Array.IndexOf(here, example[0]);
        Assert.Equal(
            example.Select(l => l.Trim()),
            here.Skip(start).Take(example.Length),
            StringComparer.Ordinal
        );
    }
}
