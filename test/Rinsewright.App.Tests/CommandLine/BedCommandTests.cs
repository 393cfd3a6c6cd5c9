using System.Text.Json;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

public sealed class BedCommandTests
{
    private static readonly string Cartridge = Path.Combine(
        Repository.Root,
        "examples/rigs/small-cartridge.json"
    );
    private static readonly string River = Path.Combine(Repository.Root, "examples/waters/soft-river.json");

    private static readonly Lazy<Task<CliRun>> FourLines = new(() =>
        CliRun.OfAsync(
            "bed",
            Cartridge,
            River,
            "--flow",
            "8 L/min",
            "--line",
            "10 ppm",
            "--line",
            "5 mg/L residue",
            "--line",
            "1 mg/L silica",
            "--line",
            "20 uS/cm",
            "--json"
        )
    );

    [Fact]
    public async Task Json_has_lines_order_balance_and_curves_of_one_length()
    {
        CliRun run = await FourLines.Value;
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        JsonElement[] lines = [.. run.Json.GetProperty("lines").EnumerateArray()];
        Assert.Equal(4, lines.Length);
        foreach (JsonElement line in lines)
        {
            double liters = line.GetProperty("liters").GetDouble();
            Assert.Equal(liters / 3.785411784, line.GetProperty("us_gallons").GetDouble(), 1e-4 * liters);
            Assert.Equal(liters / 4.5, line.GetProperty("bed_volumes").GetDouble(), 1e-4 * liters);
        }

        Assert.Equal(lines[0].GetProperty("liters").GetDouble(), lines[3].GetProperty("liters").GetDouble());
        Assert.InRange(run.Json.GetProperty("balance_error").GetDouble(), 0, 1e-9);
        Assert.Equal("SiO2", run.Json.GetProperty("first_out")[0].GetString());
        JsonElement curve = run.Json.GetProperty("curve");
        int count = curve.GetProperty("liters").GetArrayLength();
        Assert.InRange(count, 50, 401);
        string[] names = ["conductivity25_uS_cm", "pH", "meter_ppm", "silica_mg_L", "residue_mg_L"];
        Assert.All(names, n => Assert.Equal(count, curve.GetProperty(n).GetArrayLength()));
        string[] ions = ["Na", "K", "Mg", "Ca", "Cl", "NO3", "SO4", "HCO3", "CO2", "SiO2"];
        Assert.All(
            ions,
            n => Assert.Equal(count, curve.GetProperty("ions_mg_L").GetProperty(n).GetArrayLength())
        );
    }

    [Fact]
    public async Task Silica_leaves_in_a_slug_over_its_feed_while_the_meter_still_reads_low()
    {
        CliRun run = await FourLines.Value;
        JsonElement curve = run.Json.GetProperty("curve");
        double[] silica = Numbers(curve, "silica_mg_L");
        double[] meter = Numbers(curve, "meter_ppm");
        const double FeedSilica = 6.5;
        int first = Array.FindIndex(silica, s => s > FeedSilica);
        Assert.InRange(meter[first], 0, 6);
        Assert.True(silica.Max() > 2 * FeedSilica, $"{silica.Max()} mg/L");
    }

    [Fact]
    public async Task Text_shows_lines_a_chart_and_that_the_water_is_not_for_drinking()
    {
        CliRun run = await CliRun.OfAsync(
            "bed",
            Cartridge,
            River,
            "--flow",
            "2.1 gpm",
            "--line",
            "500 ppm",
            "--line",
            "5 mg/L residue"
        );
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        Assert.Contains("not reached", run.Output, StringComparison.Ordinal);
        Assert.Contains("5 mg/L residue", run.Output, StringComparison.Ordinal);
        Assert.Contains("A meter  B silica  C residue", run.Output, StringComparison.Ordinal);
        Assert.Contains("not for drinking", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_wanted_volume_and_temperature_are_kept()
    {
        CliRun run = await CliRun.OfAsync(
            "bed",
            Cartridge,
            River,
            "--flow",
            "8 L/min",
            "--to",
            "100 gal",
            "--temperature",
            "77 degF",
            "--json"
        );
        Assert.Equal(25, run.Json.GetProperty("temperature_degC").GetDouble());
        Assert.Equal(378.541, Numbers(run.Json.GetProperty("curve"), "liters")[^1], 1e-3);
        Assert.Equal(JsonValueKind.Null, run.Json.GetProperty("lines")[0].GetProperty("liters").ValueKind);
    }

    [Fact]
    public async Task Every_problem_of_every_input_is_told_at_once_and_nothing_is_written()
    {
        using var folder = new TempFolder();
        string rig = folder.Write("rig.json", "{ \"stagse\": [] }");
        string water = folder.Write("water.json", "{ \"pH\": 17 }");
        string picture = folder.PathOf("bed.svg");
        CliRun run = await CliRun.OfAsync(
            "bed",
            rig,
            water,
            "--flow",
            "8 kg",
            "--line",
            "ten",
            "--meter-factor",
            "3",
            "--plot",
            picture
        );
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Empty(run.Output);
        Assert.False(File.Exists(picture));
        string[] starts =
        [
            "--flow: 8 kg",
            "--line: ten",
            "--meter-factor: 3",
            $"{rig}: stagse",
            $"{water}: pH: 17",
        ];
        Assert.All(
            starts,
            s => Assert.Contains(run.Problems, p => p.StartsWith(s, StringComparison.Ordinal))
        );
    }

    [Fact]
    public async Task The_picture_is_an_svg_with_its_words()
    {
        using var folder = new TempFolder();
        string picture = folder.PathOf("bed.svg");
        CliRun run = await CliRun.OfAsync(
            "bed",
            Cartridge,
            River,
            "--flow",
            "8 L/min",
            "--plot",
            picture,
            "--json"
        );
        Assert.Equal(ExitCode.Done, run.ExitCode);
        string svg = File.ReadAllText(picture);
        Assert.Contains("<svg", svg, StringComparison.Ordinal);
        Assert.Contains("silica", svg, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_the_beds_alone_leave_out_of_a_rig_is_said()
    {
        string rig = Path.Combine(Repository.Root, "examples/rigs/carbon-then-mixed-bed.json");
        CliRun run = await CliRun.OfAsync("bed", rig, River, "--flow", "8 L/min", "--json");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        string warning = run.Json.GetProperty("warnings")[0].GetString()!;
        Assert.Contains("rinsewright train", warning, StringComparison.Ordinal);
        Assert.Contains(warning, run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_rig_without_a_bed_is_refused()
    {
        using var folder = new TempFolder();
        string rig = folder.Write(
            "rig.json",
            """{"name":"carbon only","stages":[{"kind":"carbon-block","name":"carbon","carbon":"0.9 L"}]}"""
        );
        CliRun run = await CliRun.OfAsync("bed", rig, River, "--flow", "8 L/min", "--json");
        Assert.Equal((ExitCode.BadInput, ""), (run.ExitCode, run.Output));
        Assert.StartsWith($"{rig}: stages: no ion-exchange bed", run.Problems[0], StringComparison.Ordinal);
    }

    private static double[] Numbers(JsonElement curve, string name) =>
        [.. curve.GetProperty(name).EnumerateArray().Select(e => e.GetDouble())];
}
