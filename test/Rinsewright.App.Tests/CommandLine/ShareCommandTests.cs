using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

/// <summary>Links for others from the command line.</summary>
public sealed class ShareCommandTests
{
    [Fact]
    public async Task A_link_is_made_with_its_address_listed_without_it_and_revoked()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun made = await home.RunAsync(
            "share",
            "Van 1",
            "--for",
            "the workshop",
            "--days",
            "30",
            "--address",
            "https://rinse.example",
            "--json"
        );
        Assert.Equal((ExitCode.Done, ""), (made.ExitCode, made.Error));
        string address = made.Json.GetProperty("address").GetString()!;
        Assert.Matches("^https://rinse\\.example/shared/[A-Za-z0-9_-]{32}$", address);
        string id = made.Json.GetProperty("id").GetString()!;
        CliRun list = await home.RunAsync("share", "--list", "--json");
        Assert.Equal(id, list.Json.GetProperty("links")[0].GetProperty("id").GetString());
        Assert.DoesNotContain(address.Split('/')[^1], list.Output, StringComparison.Ordinal);
        Assert.Equal(ExitCode.Done, (await home.RunAsync("share", "--revoke", id)).ExitCode);
        Assert.Equal(
            0,
            (await home.RunAsync("share", "--list", "--json")).Json.GetProperty("links").GetArrayLength()
        );
        Assert.Equal(ExitCode.BadInput, (await home.RunAsync("share", "--revoke", id)).ExitCode);
    }

    [Fact]
    public async Task What_is_wrong_with_a_link_is_told_and_nothing_is_made()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun run = await home.RunAsync("share", "Van 1", "--for", "Ana", "--days", "never");
        Assert.Equal(
            (ExitCode.BadInput, "days: never: a whole number from 1 to 3650\n"),
            (run.ExitCode, run.Error)
        );
        Assert.Equal(ExitCode.BadInput, (await home.RunAsync("share", "Van 1")).ExitCode);
        Assert.Equal(
            0,
            (await home.RunAsync("share", "--list", "--json")).Json.GetProperty("links").GetArrayLength()
        );
    }
}
