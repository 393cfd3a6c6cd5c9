using System.Text.Json;
using Rinsewright.App.Tests.Ingest;
using Rinsewright.Cli;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.CommandLine;

public sealed class DeviceCommandTests
{
    [Fact]
    public async Task A_devices_key_is_printed_once_works_and_is_revoked()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun added = await home.RunAsync("device", "add", "Bay probe", "--rig", "Yard bay", "--json");
        Assert.Equal((ExitCode.Done, ""), (added.ExitCode, added.Error));
        string key = added.Json.GetProperty("key").GetString()!;
        Assert.True(await IsKnownAsync(home, key));
        CliRun listed = await home.RunAsync("device", "list", "--json");
        JsonElement device = Assert.Single(listed.Json.GetProperty("devices").EnumerateArray().ToList());
        Assert.Equal("Yard bay", device.GetProperty("rig").GetString());
        Assert.DoesNotContain(key.Split('.')[2], listed.Output, StringComparison.Ordinal);
        CliRun revoked = await home.RunAsync("device", "revoke", "Bay probe");
        Assert.Equal((ExitCode.Done, ""), (revoked.ExitCode, revoked.Error));
        Assert.False(await IsKnownAsync(home, key));
        Assert.Contains("revoked", (await home.RunAsync("device", "list")).Output, StringComparison.Ordinal);
        Assert.Equal(ExitCode.BadInput, (await home.RunAsync("device", "revoke", "Bay probe")).ExitCode);
    }

    [Fact]
    public async Task A_device_of_an_organisation_is_added_by_its_name()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        string[] gateway = ["device", "add", "Gateway", "--organisation", "Two vans"];
        CliRun early = await home.RunAsync(gateway);
        Assert.Equal(ExitCode.BadInput, early.ExitCode);
        Assert.StartsWith("--organisation: Two vans: ", early.Error, StringComparison.Ordinal);
        Assert.Equal("", (await home.RunAsync("log", "add", "organisation", "name=Two vans")).Error);
        Assert.Equal("", (await home.RunAsync("log", "edit", "rig", "Van 1", "organisation=Two vans")).Error);
        CliRun added = await home.RunAsync(gateway);
        Assert.Equal((ExitCode.Done, ""), (added.ExitCode, added.Error));
        Assert.Contains("Two vans", (await home.RunAsync("device", "list")).Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_was_refused_and_what_is_missing_is_shown()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        await home.RunAsync("device", "add", "Bay probe", "--rig", "Yard bay");
        await using (
            LogbookStore store = await LogbookStore.OpenAsync(
                StoreAddress.InFolder(home.Record),
                TimeProvider.System,
                TestContext.Current.CancellationToken
            )
        )
        await using (var inbox = new Inbox(store))
        {
            Device device = (
                await new DeviceRegister(store).ListAsync(TestContext.Current.CancellationToken)
            ).Single();
            await inbox.TakeAsync(
                device,
                Reporting.DeliveryOf(
                    null,
                    """{"kind": "guess", "sequence": 1}""",
                    """{"kind": "sample", "sequence": 3, "age_s": 60, "what": "tds", "value": "3 ppm"}""",
                    """{"kind": "sample", "sequence": 7, "age_s": 0, "what": "tds", "value": "3 ppm"}"""
                ),
                TestContext.Current.CancellationToken
            );
        }

        CliRun refused = await home.RunAsync("device", "refused", "Bay probe");
        Assert.Contains("kind: guess: reading, sample or count", refused.Output, StringComparison.Ordinal);
        CliRun gaps = await home.RunAsync("device", "gaps", "Bay probe", "--json");
        JsonElement[] missing = [.. gaps.Json.GetProperty("missing").EnumerateArray()];
        Assert.Equal([2, 4], missing.Select(m => m.GetProperty("from").GetInt32()));
        Assert.Equal([2, 6], missing.Select(m => m.GetProperty("to").GetInt32()));
        Assert.Equal(ExitCode.BadInput, (await home.RunAsync("device", "gaps", "Nobody")).ExitCode);
    }

    [Fact]
    public void The_schema_lists_the_fields_of_a_row()
    {
        using JsonDocument schema = JsonDocument.Parse(
            File.ReadAllText(Path.Combine(Repository.Root, "docs", "formats", "ingest.schema.json"))
        );
        Assert.Equal(
            [.. RowText.Fields.Order(StringComparer.Ordinal), "clock", "key"],
            schema
                .RootElement.GetProperty("$defs")
                .GetProperty("row")
                .GetProperty("properties")
                .EnumerateObject()
                .Select(p => p.Name)
                .OrderBy(n => n is "clock" or "key")
                .ThenBy(n => n, StringComparer.Ordinal),
            StringComparer.Ordinal
        );
    }

    private static async Task<bool> IsKnownAsync(DemoHome home, string key)
    {
        await using LogbookStore store = await LogbookStore.OpenAsync(
            StoreAddress.InFolder(home.Record),
            TimeProvider.System,
            TestContext.Current.CancellationToken
        );
        return await new DeviceRegister(store).FindAsync(key, TestContext.Current.CancellationToken)
            is not null;
    }
}
