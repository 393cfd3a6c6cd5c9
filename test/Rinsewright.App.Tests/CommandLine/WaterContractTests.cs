using System.Text.Json;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

public sealed class WaterContractTests
{
    private const string Complete = """
        {
          "temperature": "18 degC", "pH": 7.6, "calcium": "62 mg/L", "magnesium": "8 mg/L", "sodium": "12 mg/L",
          "potassium": "2 mg/L", "alkalinity": "171 mg/L as CaCO3", "chloride": "12 mg/L", "sulfate": "16 mg/L",
          "nitrate": "3 mg/L as N", "silica": "9.8 mg/L as SiO2"
        }
        """;

    private static readonly string Examples = Path.Combine(Repository.Root, "examples/waters");

    private static readonly string[] Numbers =
    [
        "pH",
        "temperature_degC",
        "ionic_strength_mol_L",
        "charge_balance_percent",
        "conductivity_uS_cm",
        "conductivity25_uS_cm",
        "hardness_mg_L_CaCO3",
        "alkalinity_mg_L_CaCO3",
        "co2_mg_L",
        "tds_sum_mg_L",
        "residue180_mg_L",
        "langelier_index",
        "ryznar_index",
        "ccpp_mg_L_CaCO3",
    ];

    private static readonly string[] Solids = ["calcite", "aragonite", "gypsum", "amorphous_silica"];

    public static TheoryData<string> ExampleFiles =>
        [
            .. Directory
                .GetFiles(Examples, "*.json")
                .Select(f => Path.GetFileName(f))
                .Order(StringComparer.Ordinal),
        ];

    private static async Task<CliRun> RunAsync(string json, params string[] options)
    {
        using var folder = new TempFolder();
        string file = folder.Write("water.json", json);
        return await CliRun.OfAsync(["water", file, .. options]);
    }

    private static double Middle(JsonElement value) =>
        value.ValueKind is JsonValueKind.Object ? value.GetProperty("median").GetDouble() : value.GetDouble();

    [Theory]
    [MemberData(nameof(ExampleFiles))]
    public async Task Every_example_gives_every_number_of_the_contract(string file)
    {
        CliRun run = await CliRun.OfAsync("water", Path.Combine(Examples, file), "--json");
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        JsonElement json = run.Json;
        IEnumerable<JsonElement> values =
        [
            .. Numbers.Select(n => json.GetProperty(n)),
            .. Solids.Select(s => json.GetProperty("saturation_index").GetProperty(s)),
            .. json.GetProperty("meter").EnumerateArray().Select(m => m.GetProperty("reading_ppm")),
        ];
        Assert.All(
            values,
            value =>
            {
                if (value.ValueKind is JsonValueKind.Object)
                {
                    double median = value.GetProperty("median").GetDouble();
                    Assert.InRange(
                        median,
                        value.GetProperty("p05").GetDouble(),
                        value.GetProperty("p95").GetDouble()
                    );
                }
                else
                {
                    Assert.True(double.IsFinite(value.GetDouble()));
                }
            }
        );
        Assert.NotEmpty(json.GetProperty("meter").EnumerateArray());
        Assert.Equal(JsonValueKind.Array, json.GetProperty("warnings").ValueKind);
    }

    [Fact]
    public async Task A_complete_analysis_gives_plain_numbers_that_follow_from_what_is_stated()
    {
        JsonElement json = (await RunAsync(Complete, "--json")).Json;
        Assert.All(Numbers, n => Assert.Equal(JsonValueKind.Number, json.GetProperty(n).ValueKind));
        Assert.Equal(7.6, json.GetProperty("pH").GetDouble(), 1e-6);
        Assert.Equal(18, json.GetProperty("temperature_degC").GetDouble(), 1e-6);
        Assert.Equal(171, json.GetProperty("alkalinity_mg_L_CaCO3").GetDouble(), 0.5);
        // 62/40.078 + 8/24.305 = 1.876 mmol/L, times 100.09.
        Assert.Equal(187.8, json.GetProperty("hardness_mg_L_CaCO3").GetDouble(), 0.3);
        Assert.True(
            json.GetProperty("conductivity_uS_cm").GetDouble()
                < json.GetProperty("conductivity25_uS_cm").GetDouble()
        );
        JsonElement half = json.GetProperty("meter")
            .EnumerateArray()
            .Single(m => m.GetProperty("factor").GetDouble() is 0.5);
        Assert.Equal(
            0.5 * json.GetProperty("conductivity25_uS_cm").GetDouble(),
            half.GetProperty("reading_ppm").GetDouble(),
            0.01
        );
    }

    [Fact]
    public async Task A_pocket_reading_alone_gives_ranges_around_itself()
    {
        JsonElement json = (
            await RunAsync("""{ "tds": { "reading": "62 ppm", "factor": 0.5 } }""", "--json")
        ).Json;
        JsonElement reading = json.GetProperty("meter")
            .EnumerateArray()
            .Single(m => m.GetProperty("factor").GetDouble() is 0.5)
            .GetProperty("reading_ppm");
        Assert.InRange(reading.GetProperty("median").GetDouble(), 59, 65);
        JsonElement hardness = json.GetProperty("hardness_mg_L_CaCO3");
        Assert.True(hardness.GetProperty("p95").GetDouble() > 1.5 * hardness.GetProperty("p05").GetDouble());
    }

    [Fact]
    public async Task A_drop_test_narrows_what_a_pocket_reading_leaves_open()
    {
        const string Reading = "\"tds\": { \"reading\": \"231 ppm\", \"factor\": 0.5 }";
        JsonElement wide = (await RunAsync($"{{ {Reading} }}", "--json")).Json;
        JsonElement narrow = (
            await RunAsync($"{{ \"hardness\": \"9.6 gr/gal\", {Reading} }}", "--json")
        ).Json;
        double Spread(JsonElement json) =>
            json.GetProperty("hardness_mg_L_CaCO3").GetProperty("p95").GetDouble()
            - json.GetProperty("hardness_mg_L_CaCO3").GetProperty("p05").GetDouble();
        Assert.True(Spread(narrow) < 0.5 * Spread(wide));
        Assert.Equal(164.3, Middle(narrow.GetProperty("hardness_mg_L_CaCO3")), 10.0);
    }

    [Fact]
    public async Task The_same_file_gives_the_same_answer()
    {
        const string Json =
            """{ "hardness": "7 °dH", "conductivity": "310-360 uS/cm", "nitrate": "<0.5 mg/L as N" }""";
        CliRun first = await RunAsync(Json, "--json");
        CliRun second = await RunAsync(Json, "--json");
        Assert.Equal(first.Output, second.Output);
        Assert.Equal(ExitCode.Done, first.ExitCode);
    }

    [Fact]
    public async Task Water_open_to_air_loses_the_carbon_dioxide_it_had_over()
    {
        JsonElement closed = (await RunAsync(Complete, "--json", "--equilibrate", "closed")).Json;
        JsonElement open = (await RunAsync(Complete, "--json", "--equilibrate", "open")).Json;
        Assert.True(open.GetProperty("co2_mg_L").GetDouble() < closed.GetProperty("co2_mg_L").GetDouble());
        Assert.True(open.GetProperty("pH").GetDouble() > 8);
        Assert.Equal(
            closed.GetProperty("alkalinity_mg_L_CaCO3").GetDouble(),
            open.GetProperty("alkalinity_mg_L_CaCO3").GetDouble(),
            0.1
        );
    }

    [Fact]
    public async Task A_pH_from_the_charge_balances_the_ions()
    {
        JsonElement json = (await RunAsync(Complete, "--json", "--pH-from", "charge")).Json;
        Assert.Equal(0, json.GetProperty("charge_balance_percent").GetDouble(), 0.01);
        Assert.NotEqual(7.6, json.GetProperty("pH").GetDouble(), 1e-3);
    }

    [Fact]
    public async Task The_laws_of_activity_agree_in_fresh_water()
    {
        JsonElement one = (await RunAsync(Complete, "--json", "--activity", "davies")).Json;
        JsonElement other = (await RunAsync(Complete, "--json", "--activity", "truesdell-jones")).Json;
        double Calcite(JsonElement json) =>
            json.GetProperty("saturation_index").GetProperty("calcite").GetDouble();
        Assert.NotEqual(Calcite(one), Calcite(other));
        Assert.Equal(Calcite(one), Calcite(other), 0.05);
    }

    [Fact]
    public async Task All_problems_of_a_file_are_told_with_place_text_and_what_would_be_right()
    {
        CliRun run = await RunAsync(
            """{ "calcum": "62 mg/L", "magnesium": "7,3 mg/L", "pH": 15, "sodium": "-3 mg/L", "temperature": "80 degC" }"""
        );
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Empty(run.Output);
        Assert.Equal(5, run.Problems.Length);
        Assert.Contains(
            run.Problems,
            p =>
                p.Contains("calcum", StringComparison.Ordinal)
                && p.Contains("calcium", StringComparison.Ordinal)
        );
        Assert.Contains(
            run.Problems,
            p =>
                p.Contains("7,3 mg/L", StringComparison.Ordinal)
                && p.Contains("7.3", StringComparison.Ordinal)
        );
        Assert.Contains(run.Problems, p => p.Contains("pH: 15", StringComparison.Ordinal));
        Assert.Contains(run.Problems, p => p.Contains("-3 mg/L", StringComparison.Ordinal));
        Assert.Contains(run.Problems, p => p.Contains("0 to 45 °C", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("{}")]
    [InlineData("[]")]
    [InlineData("{ \"pH\": 7 ")]
    [InlineData("{ \"name\": \"nothing known\", \"pH\": 7.2 }")]
    [InlineData("{ \"tds\": \"231 ppm\" }")]
    [InlineData("{ \"calcium\": 62 }")]
    public async Task Files_that_say_too_little_or_are_no_water_are_refused(string json)
    {
        CliRun run = await RunAsync(json, "--json");
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Empty(run.Output);
        Assert.NotEmpty(run.Problems);
    }

    [Fact]
    public async Task Ions_that_do_not_balance_are_warned_of()
    {
        JsonElement json = (
            await RunAsync(Complete.Replace("62 mg/L", "82 mg/L", StringComparison.Ordinal), "--json")
        ).Json;
        Assert.Contains(
            json.GetProperty("warnings").EnumerateArray(),
            w => w.GetString()!.Contains("do not balance", StringComparison.Ordinal)
        );
        JsonElement right = (await RunAsync(Complete, "--json")).Json;
        Assert.Empty(right.GetProperty("warnings").EnumerateArray());
    }
}
