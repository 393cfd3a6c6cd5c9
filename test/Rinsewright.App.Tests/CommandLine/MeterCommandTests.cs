using System.Text.Json;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

public sealed class MeterCommandTests
{
    [Fact]
    public async Task A_meter_that_reads_high_is_told_so_and_its_reading_is_corrected()
    {
        using DemoHome home = DemoHome.Empty();
        await DoneAsync(home, "log", "meter", "Pocket", "tds", "--factor", "0.5");
        foreach ((string reference, string shown) in new[] { ("42 ppm", "46 ppm"), ("10 ppm", "11 ppm") })
        {
            await DoneAsync(
                home,
                "log",
                "check",
                "Pocket",
                "--reference",
                reference,
                "--shown",
                shown,
                "--at",
                "2026-03-01T08:00Z"
            );
        }

        JsonElement json = await DoneAsync(
            home,
            "meter",
            "pocket",
            "--shows",
            "22 ppm",
            "--temperature",
            "25 °C",
            "--at",
            "2026-03-10T08:00Z"
        );
        Assert.Equal("off", json.GetProperty("grade").GetString());
        // A tenth too much of 20 µS/cm.
        Within(json.GetProperty("shown_of_line_uS_cm"), 22);
        Within(json.GetProperty("gain"), 1.095);
        JsonElement reading = json.GetProperty("reading");
        Assert.Equal("22 ppm", reading.GetProperty("shown").GetString());
        Within(reading.GetProperty("true_conductance_uS_cm"), 40.2);
        Within(reading.GetProperty("true_value_SI"), 0.0201);
        JsonElement[] checks = [.. json.GetProperty("checks").EnumerateArray()];
        Assert.Equal([true, true], checks.Select(c => c.GetProperty("counts").GetBoolean()));
        Assert.True(string.CompareOrdinal("2026-03-10", json.GetProperty("check_by").GetString()) < 0);
    }

    [Fact]
    public async Task A_meter_that_nobody_checked_is_believed_within_wide_bounds_and_to_be_checked_now()
    {
        using DemoHome home = DemoHome.Empty();
        await DoneAsync(home, "log", "meter", "New", "conductivity", "--compensation", "2");
        JsonElement json = await DoneAsync(home, "meter");
        Assert.Equal("unchecked", json.GetProperty("grade").GetString());
        Assert.Equal(JsonValueKind.Null, json.GetProperty("check_by").ValueKind);
        Assert.Equal(JsonValueKind.Null, json.GetProperty("drift_since_first_check_uS_cm").ValueKind);
        Within(json.GetProperty("shown_of_line_uS_cm"), 20);
        Assert.Equal(0, json.GetProperty("checks").GetArrayLength());
    }

    [Fact]
    public async Task A_gauge_is_not_judged()
    {
        using DemoHome home = DemoHome.Empty();
        await DoneAsync(home, "log", "meter", "Gauge", "pressure");
        CliRun run = await home.RunAsync("meter", "Gauge");
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.StartsWith("METER: Gauge:", Assert.Single(run.Problems), StringComparison.Ordinal);
    }

    [Fact]
    public async Task People_read_what_to_do_which_checks_were_used_and_when_to_check_again()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun run = await home.RunAsync(
            "meter",
            "Pocket meter",
            "--shows",
            "8 ppm",
            "--at",
            "2026-03-01T12:00Z"
        );
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        Assert.Contains("8 ppm on it stands for", run.Output, StringComparison.Ordinal);
        Assert.Contains("heck", run.Output, StringComparison.Ordinal);
        Assert.Contains("Since its first check it has drifted by", run.Output, StringComparison.Ordinal);
    }

    private static void Within(JsonElement interval, double expected)
    {
        double low = interval.GetProperty("p05").GetDouble();
        double high = interval.GetProperty("p95").GetDouble();
        Assert.True(low < expected && expected < high, $"{expected} is not between {low} and {high}");
    }

    private static async Task<JsonElement> DoneAsync(DemoHome home, params string[] args)
    {
        CliRun run = await home.RunAsync([.. args, "--json"]);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        return run.Json;
    }
}
