using System.Text.Json;
using Microsoft.Data.Sqlite;
using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Serving;

/// <summary>The program is stopped while devices report.</summary>
public sealed class EndingTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Told_to_stop_under_load_it_ends_in_order_and_what_it_acknowledged_is_on_the_disk()
    {
        StoreAddress address = TestRecord.NewFolder();
        try
        {
            Fleet fleet;
            await using (
                LogbookStore store = await LogbookStore.OpenAsync(address, TimeProvider.System, Stop)
            )
            {
                fleet = await Fleet.AddAsync(store, 6);
            }

            using (fleet)
            {
                await using ServingProcess serving = await ServingProcess.StartAsync(
                    "--port",
                    "0",
                    "--data",
                    address.Folder!,
                    "--log",
                    "json"
                );
                fleet.Aim(serving.Address);
                fleet.Start();
                await fleet.MoreAsync(60);
                await serving.SignalAsync("TERM");
                (int code, string errors) = await serving.EndAsync();
                await fleet.RestAsync();
                Assert.Equal(0, code);
                string[] said =
                [
                    .. errors
                        .Split('\n', StringSplitOptions.RemoveEmptyEntries)
                        .Select(line =>
                            JsonDocument.Parse(line).RootElement.GetProperty("Message").GetString()!
                        ),
                ];
                Assert.StartsWith("Version ", said[0], StringComparison.Ordinal);
                Assert.Equal("Stopped; everything under way was answered", said[^1]);
                await using LogbookStore after = await LogbookStore.OpenAsync(
                    address,
                    TimeProvider.System,
                    Stop
                );
                await fleet.CheckAsync(after);
            }
        }
        finally
        {
            SqliteConnection.ClearAllPools();
            Directory.Delete(address.Folder!, recursive: true);
        }
    }
}
