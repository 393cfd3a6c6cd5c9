using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Serving;

/// <summary>Several processes around one PostgreSQL database, while devices report and things break.</summary>
public sealed class ClusterTests
{
    private const int Rigs = 8;
    private const int Some = 60;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Members_are_killed_frozen_and_replaced_and_no_acknowledged_row_is_lost_or_doubled()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Postgres);
        using Fleet fleet = await Fleet.AddAsync(record.Store, Rigs);
        await using ServingProcess first = await Cluster.MemberAsync(record.Address);
        await using ServingProcess second = await Cluster.MemberAsync(record.Address);
        fleet.Aim(first.Address, second.Address);
        fleet.Start();
        await fleet.MoreAsync(Some);

        await first.SignalAsync("KILL");
        await fleet.AllMoreAsync(3);

        // The one that owns every rig now is cut off, here frozen, and given up; when it comes back it finds that out and ends itself.
        await using ServingProcess third = await Cluster.MemberAsync(record.Address);
        fleet.Aim(second.Address, third.Address);
        await second.SignalAsync("STOP");
        await fleet.AllMoreAsync(3);
        await second.SignalAsync("CONT");
        Assert.NotEqual(0, (await second.EndAsync()).ExitCode);

        // A rolling restart: the next one is there before this one goes.
        await using ServingProcess fourth = await Cluster.MemberAsync(record.Address);
        fleet.Aim(third.Address, fourth.Address);
        await fleet.MoreAsync(Some);
        await third.SignalAsync("TERM");
        Assert.Equal(0, (await third.EndAsync()).ExitCode);
        await fleet.AllMoreAsync(3);

        await fleet.RestAsync();
        await fleet.CheckAsync(record.Store);
    }

    [Fact]
    public async Task The_database_is_restarted_and_no_acknowledged_row_is_lost_or_doubled()
    {
        await using OwnCluster server = await OwnCluster.StartAsync();
        await using LogbookStore store = await LogbookStore.OpenAsync(
            server.Address,
            TimeProvider.System,
            Stop
        );
        using Fleet fleet = await Fleet.AddAsync(store, Rigs);
        await using ServingProcess first = await Cluster.MemberAsync(server.Address);
        await using ServingProcess second = await Cluster.MemberAsync(server.Address);
        fleet.Aim(first.Address, second.Address);
        fleet.Start();
        await fleet.MoreAsync(Some);
        foreach (string mode in (string[])["fast", "immediate"])
        {
            await server.RestartAsync(mode);
            await fleet.AllMoreAsync(3);
        }

        await fleet.RestAsync();
        await fleet.CheckAsync(store);
    }
}
