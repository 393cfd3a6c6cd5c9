using System.Text.Json;
using Rinsewright.Cli;
using Rinsewright.Records.Access;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.CommandLine;

public sealed class PeopleCommandTests
{
    [Fact]
    public async Task The_first_owner_is_made_others_follow_and_roles_change()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun early = await home.RunAsync("key", "add", "Sheet");
        Assert.Equal(ExitCode.BadInput, early.ExitCode);
        Assert.Contains("people add", early.Error, StringComparison.Ordinal);
        CliRun first = await home.RunAsync(
            "people",
            "add",
            "Ana",
            "--role",
            "owner",
            "--organisation",
            "Two vans",
            "--address",
            "https://rinse.example",
            "--json"
        );
        Assert.Equal((ExitCode.Done, ""), (first.ExitCode, first.Error));
        string link = first.Json.GetProperty("link").GetString()!;
        Assert.StartsWith("https://rinse.example/join/rw.", link, StringComparison.Ordinal);
        Assert.Equal("Ana", (await InvitedAsync(home, link))?.Name);
        Assert.Equal(ExitCode.Done, (await home.RunAsync("people", "add", "Bo")).ExitCode);
        CliRun listed = await home.RunAsync("people", "list", "--json");
        Assert.Equal(
            ["owner", "technician"],
            listed
                .Json.GetProperty("people")
                .EnumerateArray()
                .Select(p => p.GetProperty("role").GetString()!),
            StringComparer.Ordinal
        );
        Assert.DoesNotContain(link.Split('.')[^1], listed.Output, StringComparison.Ordinal);
        Assert.Equal("", (await home.RunAsync("people", "role", "Bo", "viewer")).Error);
        CliRun captain = await home.RunAsync("people", "role", "Bo", "captain");
        Assert.Equal("ROLE: captain: owner, technician or viewer\n", captain.Error);
        Assert.Equal(ExitCode.BadInput, (await home.RunAsync("people", "remove", "Ana")).ExitCode);
        Assert.Equal("", (await home.RunAsync("people", "remove", "Bo")).Error);
        CliRun again = await home.RunAsync("people", "again", "Ana");
        Assert.Equal("", again.Error);
        Assert.Null(await InvitedAsync(home, link));
        CliRun log = await home.RunAsync("people", "log", "--json");
        Assert.Equal(
            [
                "invited Ana again",
                "removed Bo",
                "made Bo viewer",
                "invited Bo as technician",
                "invited Ana as owner",
            ],
            log.Json.GetProperty("lines").EnumerateArray().Select(l => l.GetProperty("what").GetString()!),
            StringComparer.Ordinal
        );
    }

    [Fact]
    public async Task A_key_is_printed_once_listed_without_its_secret_and_revoked()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        await home.RunAsync("people", "add", "Ana", "--role", "owner", "--organisation", "Two vans");
        CliRun made = await home.RunAsync("key", "add", "Sheet", "--right", "log", "--json");
        Assert.Equal((ExitCode.Done, ""), (made.ExitCode, made.Error));
        string key = made.Json.GetProperty("key").GetString()!;
        Assert.Equal(
            ExitCode.BadInput,
            (await home.RunAsync("key", "add", "Sheet", "--right", "3")).ExitCode
        );
        CliRun listed = await home.RunAsync("key", "list", "--json");
        JsonElement only = Assert.Single(listed.Json.GetProperty("keys").EnumerateArray().ToList());
        Assert.Equal("log", only.GetProperty("right").GetString());
        Assert.DoesNotContain(key.Split('.')[2], listed.Output, StringComparison.Ordinal);
        Assert.Equal("", (await home.RunAsync("key", "revoke", "Sheet")).Error);
        Assert.Equal(ExitCode.BadInput, (await home.RunAsync("key", "revoke", "Sheet")).ExitCode);
    }

    [Fact]
    public async Task Of_two_keys_of_one_name_the_one_of_the_organisation_that_is_named_is_revoked()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        foreach ((string owner, string firm) in new[] { ("Ana", "Two vans"), ("Ben", "One bay") })
        {
            await home.RunAsync("people", "add", owner, "--role", "owner", "--organisation", firm);
            await home.RunAsync("key", "add", "Sheet", "--organisation", firm);
        }

        CliRun unsaid = await home.RunAsync("key", "revoke", "Sheet");
        Assert.Equal(ExitCode.BadInput, unsaid.ExitCode);
        Assert.Contains("--organisation", unsaid.Error, StringComparison.Ordinal);
        Assert.Equal("", (await home.RunAsync("key", "revoke", "Sheet", "--organisation", "One bay")).Error);
        Assert.Equal(
            ExitCode.BadInput,
            (await home.RunAsync("key", "revoke", "Sheet", "--organisation", "One bay")).ExitCode
        );
        Assert.Equal("", (await home.RunAsync("key", "revoke", "Sheet", "--organisation", "Two vans")).Error);
    }

    private static async Task<Account?> InvitedAsync(DemoHome home, string link)
    {
        await using LogbookStore store = await LogbookStore.OpenAsync(
            StoreAddress.InFolder(home.Record),
            TimeProvider.System,
            TestContext.Current.CancellationToken
        );
        return await new PeopleRegister(store).InvitedAsync(
            link.Split('/')[^1],
            TestContext.Current.CancellationToken
        );
    }
}
