using System.Net;
using System.Net.Sockets;
using Npgsql;
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
        await using ServingProcess first = await MemberAsync(record.Address);
        await using ServingProcess second = await MemberAsync(record.Address);
        fleet.Aim(first.Address, second.Address);
        fleet.Start();
        await fleet.MoreAsync(Some);

        await first.SignalAsync("KILL");
        await fleet.AllMoreAsync(3);

        // The one that owns every rig now is cut off, here frozen, and given up; when it comes back it finds that out and ends itself.
        await using ServingProcess third = await MemberAsync(record.Address);
        fleet.Aim(second.Address, third.Address);
        await second.SignalAsync("STOP");
        await fleet.AllMoreAsync(3);
        await second.SignalAsync("CONT");
        Assert.NotEqual(0, (await second.EndAsync()).ExitCode);

        // A rolling restart: the next one is there before this one goes.
        await using ServingProcess fourth = await MemberAsync(record.Address);
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
        await using ServingProcess first = await MemberAsync(server.Address);
        await using ServingProcess second = await MemberAsync(server.Address);
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

    [Fact]
    public async Task A_member_that_is_cut_off_ends_itself_and_no_acknowledged_row_is_lost_or_doubled()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Postgres);
        using Fleet fleet = await Fleet.AddAsync(record.Store, Rigs);
        var database = new NpgsqlConnectionStringBuilder(record.Address.ConnectionString);
        // The second reaches the database, and both members each other, by ways that can be cut.
        await using var toDatabase = new Passage(AddressOf(database));
        (int firstPort, int secondPort) = (FreePort.Next(), FreePort.Next());
        await using var toFirst = new Passage(new IPEndPoint(IPAddress.Loopback, firstPort));
        await using var toSecond = new Passage(new IPEndPoint(IPAddress.Loopback, secondPort));
        await using ServingProcess first = await MemberAsync(
            record.Address.ConnectionString!,
            toFirst.Port,
            "--cluster-listen-port",
            $"{firstPort}"
        );
        (database.Host, database.Port) = ("127.0.0.1", toDatabase.Port);
        await using ServingProcess second = await MemberAsync(
            database.ToString(),
            toSecond.Port,
            "--cluster-listen-port",
            $"{secondPort}"
        );
        fleet.Aim(first.Address, second.Address);
        fleet.Start();
        await fleet.AllMoreAsync(3);

        // From the database alone, for a while: its rigs, which may be all of them, wait and go on.
        toDatabase.Cut();
        await fleet.TriedAsync(Some);
        toDatabase.Mend();
        await fleet.AllMoreAsync(3);

        // From everything: the other gives it up and owns every rig, and what it had begun arrives when it is too late.
        Passage[] all = [toDatabase, toFirst, toSecond];
        Array.ForEach(all, p => p.Cut());
        await fleet.AllMoreAsync(3);
        Array.ForEach(all, p => p.Mend());
        Assert.NotEqual(0, (await second.EndAsync()).ExitCode);
        fleet.Aim(first.Address);
        await fleet.AllMoreAsync(3);

        await fleet.RestAsync();
        await fleet.CheckAsync(record.Store);
    }

    [Fact]
    public async Task Alarms_are_raised_once_and_they_and_forecasts_go_on_when_a_member_is_killed()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Postgres);
        await using LogbookStore store = await LogbookStore.OpenAsync(
            record.Address,
            TimeProvider.System,
            Stop
        );
        string[] often = ["--forecast-every-hours", "0.02"];
        await using ServingProcess first = await MemberAsync(record.Address, often);
        await using ServingProcess second = await MemberAsync(record.Address, often);
        // Their period begins when both are there, however long that takes.
        ForecastRigs rigs = await ForecastRigs.AddAsync(store, 6);
        // Their forecasts are spread over the period, so that most are still to come.
        await rigs.UntilAsync(async () => await rigs.WokenAsync() == 6);
        Assert.True(await rigs.ForecastAsync() < 6, "all were forecast before anybody was killed");
        await first.SignalAsync("KILL");
        await rigs.UntilAsync(async () => await rigs.OpenAsync() == 6);
        await rigs.ReadAsync(3);
        await rigs.UntilAsync(async () => await rigs.OpenAsync() == 0 && await rigs.ForecastAsync() == 6);
        await rigs.CheckAsync();
    }

    private static EndPoint AddressOf(NpgsqlConnectionStringBuilder database) =>
        database.Host!.StartsWith('/')
            ? new UnixDomainSocketEndPoint($"{database.Host}/.s.PGSQL.{database.Port}")
            : new DnsEndPoint(database.Host, database.Port);

    private static Task<ServingProcess> MemberAsync(StoreAddress address, params string[] more) =>
        MemberAsync(address.ConnectionString!, FreePort.Next(), more);

    private static Task<ServingProcess> MemberAsync(string database, int port, params string[] more) =>
        ServingProcess.StartAsync([
            "--port",
            "0",
            "--cluster",
            database,
            "--cluster-port",
            $"{port}",
            .. more,
        ]);
}
