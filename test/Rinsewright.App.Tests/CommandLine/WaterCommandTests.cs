using System.Text.Json;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

public sealed class WaterCommandTests
{
    private static readonly string[] Names =
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

    [Fact]
    public async Task A_full_report_gives_a_number_under_every_name_of_the_format()
    {
        CliRun run = await CliRun.OfAsync("water", Example("chalk-tap"), "--json");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        Assert.All(Names, n => Assert.Equal(JsonValueKind.Number, run.Json.GetProperty(n).ValueKind));
        JsonElement saturation = run.Json.GetProperty("saturation_index");
        Assert.All(
            ["calcite", "aragonite", "gypsum", "amorphous_silica"],
            n => Assert.Equal(JsonValueKind.Number, saturation.GetProperty(n).ValueKind)
        );
        Assert.Equal(0.5, run.Json.GetProperty("meter")[0].GetProperty("factor").GetDouble());
        Assert.Equal(JsonValueKind.Array, run.Json.GetProperty("warnings").ValueKind);
        Assert.InRange(run.Json.GetProperty("hardness_mg_L_CaCO3").GetDouble(), 278, 281);
    }

    [Fact]
    public async Task What_a_file_leaves_open_is_a_median_between_two_ends()
    {
        CliRun run = await CliRun.OfAsync("water", Example("pocket-reading"), "--json");
        JsonElement hardness = run.Json.GetProperty("hardness_mg_L_CaCO3");
        Assert.InRange(
            hardness.GetProperty("median").GetDouble(),
            hardness.GetProperty("p05").GetDouble(),
            hardness.GetProperty("p95").GetDouble()
        );
        Assert.InRange(
            run.Json.GetProperty("meter")[0].GetProperty("reading_ppm").GetProperty("median").GetDouble(),
            60,
            64
        );
    }

    [Fact]
    public async Task Standing_in_air_takes_carbon_dioxide_out_of_a_chalk_water()
    {
        CliRun closed = await CliRun.OfAsync("water", Example("chalk-tap"), "--json");
        CliRun open = await CliRun.OfAsync("water", Example("chalk-tap"), "--equilibrate", "open", "--json");
        Assert.True(
            open.Json.GetProperty("pH").GetDouble() > closed.Json.GetProperty("pH").GetDouble() + 0.5
        );
        Assert.True(open.Json.GetProperty("co2_mg_L").GetDouble() < 1.5);
    }

    [Fact]
    public async Task Every_wrong_value_is_named_with_what_would_be_right_and_the_code_is_2()
    {
        using var folder = new TempFolder();
        string file = folder.Write(
            "water.json",
            """{ "calcuim": "62 mg/L", "magnesium": "7,3 mg/L", "temperature": "64 degK", "pH": 19 }"""
        );
        CliRun run = await CliRun.OfAsync("water", file);
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Empty(run.Output);
        Assert.All(
            ["calcuim", "calcium", "magnesium", "7,3", "temperature", "pH"],
            word => Assert.Contains(word, run.Error, StringComparison.Ordinal)
        );
    }

    [Fact]
    public async Task People_read_words_before_digits()
    {
        CliRun run = await CliRun.OfAsync("water", Example("pocket-reading"));
        Assert.Contains(
            "A soft water: a pocket meter with the factor 0.5 shows",
            run.Output,
            StringComparison.Ordinal
        );
        Assert.Contains("not drinking water", run.Output, StringComparison.Ordinal);
    }

    private static string Example(string name) =>
        Path.Combine(Repository.Root, $"examples/waters/{name}.json");
}
