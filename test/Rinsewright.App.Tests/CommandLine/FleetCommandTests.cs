using System.Text.Json;
using Microsoft.Extensions.Time.Testing;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

public sealed class FleetCommandTests
{
    [Fact]
    public async Task The_demonstration_is_forecast_shown_by_urgency_and_planned_for_its_two_rounds()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        var clock = new FakeTimeProvider(new DateTimeOffset(2026, 3, 1, 12, 0, 0, TimeSpan.Zero));
        CliRun before = await home.RunAsync(clock, "fleet");
        Assert.Equal((ExitCode.Done, ""), (before.ExitCode, before.Error));
        Assert.Contains("rinsewright fleet --renew", before.Output, StringComparison.Ordinal);
        CliRun board = await home.RunAsync(clock, "fleet", "--renew", "--json");
        Assert.Equal((ExitCode.Done, ""), (board.ExitCode, board.Error));
        JsonElement[] rigs = [.. board.Json.GetProperty("rigs").EnumerateArray()];
        Assert.Equal(4, rigs.Length);
        Assert.Equal(4, board.Json.GetProperty("total").GetInt32());
        string[] order = ["past_line", "due", "silent", "unknown", "fine"];
        int[] urgency = [.. rigs.Select(r => Array.IndexOf(order, r.GetProperty("urgency").GetString()))];
        Assert.Equal(urgency.Order(), urgency);
        Assert.All(
            rigs,
            r =>
            {
                Assert.Equal(JsonValueKind.String, r.GetProperty("forecast_at").ValueKind);
                Assert.InRange(r.GetProperty("passed_now").GetDouble(), 0, 1);
                Assert.EndsWith("ppm", r.GetProperty("last_reading").GetString(), StringComparison.Ordinal);
            }
        );
        // Nothing is forecast twice on a day, and a round is a part of the whole.
        CliRun again = await home.RunAsync(clock, "fleet", "--renew", "--van", "Jon's round", "--json");
        Assert.Equal(2, again.Json.GetProperty("total").GetInt32());
        CliRun found = await home.RunAsync(clock, "fleet", "--find", "well row", "--json");
        Assert.Equal("Wall set", found.Json.GetProperty("rigs")[0].GetProperty("name").GetString());
        CliRun soon = await home.RunAsync(clock, "fleet", "--due", "3650", "--count", "1", "--json");
        Assert.Single(soon.Json.GetProperty("rigs").EnumerateArray());
        CliRun rounds = await home.RunAsync(clock, "fleet", "--route", "--stock", "--json");
        Assert.Equal((ExitCode.Done, ""), (rounds.ExitCode, rounds.Error));
        Assert.All(
            rounds.Json.GetProperty("rounds").EnumerateArray(),
            r => Assert.EndsWith("round", r.GetProperty("van").GetString(), StringComparison.Ordinal)
        );
        foreach (
            string[] how in (string[][])
                [
                    ["--route"],
                    ["--stock"],
                    [],
                ]
        )
        {
            CliRun text = await home.RunAsync(clock, ["fleet", .. how]);
            Assert.Equal((ExitCode.Done, ""), (text.ExitCode, text.Error));
            Assert.NotEmpty(text.Output);
        }
    }

    [Fact]
    public async Task The_board_is_written_as_a_table_and_what_is_not_right_is_named()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        string file = Path.Combine(home.Record, "fleet.csv");
        CliRun written = await home.RunAsync("fleet", "--csv", file);
        Assert.Equal((ExitCode.Done, ""), (written.ExitCode, written.Error));
        Assert.Equal(5, (await File.ReadAllLinesAsync(file, TestContext.Current.CancellationToken)).Length);
        CliRun wrong = await home.RunAsync("fleet", "--reason", "tired", "--due", "-1", "--count", "0");
        Assert.Equal(ExitCode.BadInput, wrong.ExitCode);
        Assert.Equal(3, wrong.Problems.Length);
        Assert.StartsWith("--reason: tired: one of past_line", wrong.Problems[0], StringComparison.Ordinal);
    }
}
