using System.Net;
using System.Net.Sockets;
using Npgsql;
using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Serving;

/// <summary>
/// Several processes around one PostgreSQL database, when one is cut off and when one dies under its alarms and forecasts. Apart from
/// the others, as the tests of one class wait for one another.
/// </summary>
public sealed class ClusterOutageTests
{
    private const int Rigs = 8;
    private const int Some = 60;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

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
        await using ServingProcess first = await Cluster.MemberAsync(
            record.Address.ConnectionString!,
            toFirst.Port,
            "--cluster-listen-port",
            $"{firstPort}"
        );
        (database.Host, database.Port) = ("127.0.0.1", toDatabase.Port);
        await using ServingProcess second = await Cluster.MemberAsync(
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
        await using ServingProcess first = await Cluster.MemberAsync(record.Address, often);
        await using ServingProcess second = await Cluster.MemberAsync(record.Address, often);
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
}
