using System.Text;
using System.Xml.Linq;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

public sealed class DryCommandTests
{
    private static readonly string[] HotDay =
    [
        "dry",
        "--air",
        "28 degC",
        "--humidity",
        "45",
        "--wind",
        "2 m/s",
        "--sun",
        "full",
        "--paint",
        "black",
    ];

    [Fact]
    public async Task A_black_panel_in_the_sun_dries_before_the_towel_and_the_answer_says_so()
    {
        CliRun run = await CliRun.OfAsync(HotDay);
        Assert.Equal(ExitCode.Done, run.ExitCode);
        Assert.StartsWith("Can I wash in direct sun?", run.Output, StringComparison.Ordinal);
        Assert.Contains("No:", run.Output, StringComparison.Ordinal);
        Assert.Contains("min to", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Json_carries_the_minutes_with_their_range_and_the_curve()
    {
        CliRun run = await CliRun.OfAsync([.. HotDay, "--json"]);
        System.Text.Json.JsonElement drying = run.Json.GetProperty("drying");
        double minutes = drying.GetProperty("minutes").GetDouble();
        Assert.InRange(
            minutes,
            drying.GetProperty("minutes_early").GetDouble(),
            drying.GetProperty("minutes_late").GetDouble()
        );
        Assert.Equal("too-late", drying.GetProperty("verdict").GetString());
        Assert.Equal(
            drying.GetProperty("time_s").GetArrayLength(),
            drying.GetProperty("water_g_m2").GetArrayLength()
        );
    }

    [Fact]
    public async Task A_panel_that_never_dries_has_a_status_and_no_minutes()
    {
        CliRun run = await CliRun.OfAsync("dry", "--humidity", "100", "--sun", "none", "--json");
        System.Text.Json.JsonElement drying = run.Json.GetProperty("drying");
        Assert.Equal("never-dries", drying.GetProperty("status").GetString());
        Assert.Equal(System.Text.Json.JsonValueKind.Null, drying.GetProperty("minutes").ValueKind);
    }

    [Fact]
    public async Task Night_at_a_place_has_no_sunlight_and_noon_has()
    {
        double[] light = new double[2];
        string[] times = ["2027-06-21T13:00+02:00", "2027-06-21T01:00+02:00"];
        for (int i = 0; i < 2; i++)
        {
            CliRun run = await CliRun.OfAsync([
                .. HotDay,
                "--place",
                "48.1, 11.6",
                "--time",
                times[i],
                "--json",
            ]);
            light[i] = run.Json.GetProperty("drying").GetProperty("sunlight_W_m2").GetDouble();
        }

        Assert.InRange(light[0], 850, 1000);
        Assert.Equal(0, light[1]);
    }

    [Fact]
    public async Task Every_bad_option_is_reported_and_nothing_is_drawn()
    {
        using var folder = new TempFolder();
        string plot = folder.PathOf("clock.gif");
        CliRun run = await CliRun.OfAsync(
            "dry",
            "--air",
            "90",
            "--humidity",
            "120",
            "--sun",
            "bright",
            "--paint",
            "tartan",
            "--place",
            "4",
            "--plot",
            plot
        );
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        string[] places = [.. run.Problems.Select(p => p.Split(": ")[0])];
        Assert.Equal(
            ["--air", "--humidity", "--paint", "--place", "--plot", "--sun", "--time"],
            places.Order(StringComparer.Ordinal),
            StringComparer.Ordinal
        );
        Assert.False(File.Exists(plot));
    }

    [Theory]
    [InlineData("clock.svg")]
    [InlineData("clock.png")]
    public async Task The_clock_is_drawn_as_the_name_says(string name)
    {
        using var folder = new TempFolder();
        string path = folder.PathOf(name);
        CliRun run = await CliRun.OfAsync([.. HotDay, "--plot", path]);
        Assert.Equal(ExitCode.Done, run.ExitCode);
        byte[] drawn = await File.ReadAllBytesAsync(path, TestContext.Current.CancellationToken);
        if (name.EndsWith("png", StringComparison.Ordinal))
        {
            Assert.Equal("PNG", Encoding.ASCII.GetString(drawn, 1, 3));
        }
        else
        {
            Assert.Equal("svg", XDocument.Parse(Encoding.UTF8.GetString(drawn)).Root!.Name.LocalName);
        }
    }

    [Fact]
    public async Task A_water_file_adds_its_residue_and_its_picture()
    {
        using var folder = new TempFolder();
        string water = folder.Write("water.json", HardWater);
        string picture = folder.PathOf("residue.svg");
        CliRun run = await CliRun.OfAsync([.. HotDay, water, "--json", "--residue-plot", picture]);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        System.Text.Json.JsonElement residue = run.Json.GetProperty("residue");
        System.Text.Json.JsonElement first = residue.GetProperty("solids")[0];
        Assert.Equal("calcite", first.GetProperty("solid").GetString());
        Assert.Equal("etches", first.GetProperty("removal").GetString());
        // At most the 2.5 mmol/L of calcium in the file, as CaCO3.
        Assert.InRange(first.GetProperty("residue_mg_L").GetDouble(), 200, 250);
        Assert.Equal("heavy", residue.GetProperty("spot_index_mg_m2").GetProperty("grade").GetString());
        Assert.Contains(
            "<svg",
            await File.ReadAllTextAsync(picture, TestContext.Current.CancellationToken),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task A_residue_picture_needs_a_water()
    {
        CliRun run = await CliRun.OfAsync([.. HotDay, "--residue-plot", "residue.svg"]);
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.StartsWith("--residue-plot: ", Assert.Single(run.Problems), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Behind_a_rig_the_water_leaves_little_while_the_bed_holds_and_much_when_it_is_spent()
    {
        using var folder = new TempFolder();
        string water = folder.Write("water.json", HardWater);
        string rig = Path.Combine(Repository.Root, "examples/rigs/small-cartridge.json");
        double[] index = new double[2];
        string[] drawn = ["50", "2000 gal"];
        for (int i = 0; i < 2; i++)
        {
            CliRun run = await CliRun.OfAsync("dry", water, "--after", rig, "--liters", drawn[i], "--json");
            Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
            System.Text.Json.JsonElement residue = run.Json.GetProperty("residue");
            index[i] = residue.GetProperty("spot_index_mg_m2").GetProperty("median").GetDouble();
            Assert.Equal(5, run.Json.GetProperty("after").GetProperty("flow_L_min").GetDouble());
        }

        Assert.InRange(index[0], 0, 4);
        Assert.InRange(index[1], 100, 400);
    }

    [Fact]
    public async Task A_rig_to_dry_behind_needs_a_water_and_litres_and_they_need_a_rig()
    {
        CliRun run = await CliRun.OfAsync("dry", "--after", "no-such-rig.json");
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Equal(
            ["--after", "--liters", "no-such-rig.json"],
            run.Problems.Select(p => p.Split(": ")[0]).Order(StringComparer.Ordinal),
            StringComparer.Ordinal
        );
        run = await CliRun.OfAsync("dry", "--liters", "50", "--flow", "3 L/min");
        Assert.Equal(2, run.Problems.Length);
    }

    private const string HardWater = """
        { "temperature": "15 degC", "pH": 7.5, "alkalinity": "245 mg/L as CaCO3",
          "calcium": "100 mg/L", "magnesium": "12 mg/L", "sodium": "25 mg/L", "potassium": "3 mg/L",
          "chloride": "40 mg/L", "sulfate": "50 mg/L", "nitrate": "20 mg/L as NO3", "silica": "12 mg/L" }
        """;
}
