using System.Text.Json;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

public sealed class ForecastCommandTests
{
    private static readonly string[] Asked =
    [
        "forecast",
        "Van 1",
        "--at",
        "2026-02-28 12:00",
        "--members",
        "200",
        "--fill-cost",
        "80",
        "--json",
    ];

    [Fact]
    public async Task Beds_in_series_are_told_what_moving_them_up_would_save()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        string[] asked = [.. Asked.Select(a => a is "Van 1" ? "Wall set" : a)];
        JsonElement rotate = (await home.RunAsync(asked)).Json.GetProperty("change").GetProperty("rotate");
        Assert.InRange(Number(rotate, "water_share", "median"), 0.5, 1);
        Assert.InRange(Number(rotate, "cost_share", "median"), 0.5, 1);
        CliRun text = await home.RunAsync([.. asked.Where(a => a is not "--json")]);
        Assert.Contains(
            "Or rotate: at the line fill only the first bed (Lead) anew",
            text.Output.ReplaceLineEndings(" "),
            StringComparison.Ordinal
        );
        JsonElement alone = (await home.RunAsync(Asked)).Json.GetProperty("change");
        Assert.False(alone.TryGetProperty("rotate", out _));
    }

    [Fact]
    public async Task Json_has_what_is_left_when_and_why_and_can_be_computed_again()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun run = await home.RunAsync(Asked);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        JsonElement json = run.Json;
        foreach (JsonElement line in json.GetProperty("lines").EnumerateArray())
        {
            double low = Number(line, "liters_left", "p05");
            double middle = Number(line, "liters_left", "median");
            double high = Number(line, "liters_left", "p95");
            Assert.True(low <= middle && middle <= high);
            Assert.InRange(line.GetProperty("passed_now").GetDouble(), 0, 1);
            Assert.Equal(
                middle / 3.785411784,
                Number(line, "us_gallons_left", "median"),
                1e-3 * (1 + middle)
            );
            double[] quantiles =
            [
                .. line.GetProperty("liters_left_quantiles").EnumerateArray().Select(q => q.GetDouble()),
            ];
            Assert.Equal(21, quantiles.Length);
            Assert.Equal(quantiles.Order(), quantiles);
        }

        Assert.Equal(
            1,
            json.GetProperty("explanations")
                .EnumerateArray()
                .Sum(e => e.GetProperty("probability").GetDouble()),
            0.01
        );
        JsonElement[] others = [.. json.GetProperty("other_stages").EnumerateArray()];
        Assert.Contains(
            others,
            o => o.GetProperty("ended_by").GetString()!.Contains("chlorine", StringComparison.Ordinal)
        );
        foreach (JsonElement other in others)
        {
            Assert.True(
                Number(other, "liters_left", "p05") <= Number(other, "liters_left", "p95"),
                other.GetRawText()
            );
            Assert.InRange(other.GetProperty("passed_now").GetDouble(), 0, 1);
            Assert.Matches("^20[0-9-]+$", other.GetProperty("service_until").GetString()!);
        }

        Assert.Equal(3, json.GetProperty("next_readings").GetArrayLength());
        Assert.True(json.GetProperty("change").GetProperty("cost_per_liter_now").GetDouble() > 0);
        Assert.True(json.GetProperty("readings").GetInt32() > 5);
        Assert.Equal(run.Output, (await home.RunAsync(Asked)).Output);
    }

    [Fact]
    public async Task Text_says_in_words_what_is_left_and_that_the_water_is_not_for_drinking()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun run = await home.RunAsync("forecast", "Van 1", "--at", "2026-02-28 12:00", "--members", "100");
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        Assert.Matches("litres are left|Change it", run.Output);
        Assert.Contains("What would tell most next", run.Output, StringComparison.Ordinal);
        Assert.Contains("not for drinking", run.Output, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("No such rig", "10 ppm", "100")]
    [InlineData("Van 1", "ten", "100")]
    [InlineData("Van 1", "10 ppm", "0")]
    public async Task Bad_input_is_refused_with_its_place(string rig, string line, string members)
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun run = await home.RunAsync("forecast", rig, "--line", line, "--members", members);
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Single(run.Problems);
        Assert.Empty(run.Output);
    }

    [Fact]
    public async Task A_rig_of_which_too_little_is_known_says_what_is_missing()
    {
        using DemoHome home = DemoHome.Empty();
        Assert.Equal(
            ExitCode.Done,
            (await home.RunAsync("log", "rig", "Bare", "--stage", "Bed=mixed bed")).ExitCode
        );
        CliRun empty = await home.RunAsync("forecast", "Bare");
        Assert.Equal(ExitCode.BadInput, empty.ExitCode);
        Assert.Contains("a fill", empty.Error, StringComparison.Ordinal);
        Assert.Equal(
            ExitCode.Done,
            (await home.RunAsync("log", "change", "Bed", "resin", "--at", "2026-03-01 08:00")).ExitCode
        );
        CliRun size = await home.RunAsync("forecast", "Bare");
        Assert.Equal(ExitCode.BadInput, size.ExitCode);
        Assert.Contains("volume", size.Error, StringComparison.Ordinal);
    }

    private static double Number(JsonElement line, string name, string member) =>
        line.GetProperty(name).GetProperty(member).GetDouble();
}
