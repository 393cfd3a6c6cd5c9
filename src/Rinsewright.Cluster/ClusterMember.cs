using System.Net;
using System.Net.Sockets;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.DataProtection.KeyManagement;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Npgsql;
using Orleans.Configuration;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cluster;

/// <summary>A machine as a member of a cluster around one PostgreSQL database.</summary>
public sealed record ClusterMember
{
    /// <summary>The port that members use among themselves when none is named.</summary>
    public const int UsualPort = 11_111;

    private const string Name = "rinsewright";
    private const string Provider = "Npgsql";
    private const int ConnectionsOfTheCluster = 8;

    /// <summary>As long as it takes to declare a member dead (our choice).</summary>
    private const string StandsStill =
        "-c idle_in_transaction_session_timeout=10s -c tcp_user_timeout=10s -c tcp_keepalives_idle=5";

    /// <summary>PostgreSQL connection string of the record, which the cluster uses too.</summary>
    public required string Connection { get; init; }

    /// <summary>Address at which the other members reach this one.</summary>
    public required IPAddress Address { get; init; }

    /// <summary>Port at which they do.</summary>
    public int Port { get; init; } = UsualPort;

    /// <summary>The port that this one listens at, where something between leads the other there; nothing for the same.</summary>
    public int? ListenPort { get; init; }

    /// <summary>
    /// Where the record is. The server ends a session that stands still within a transaction: of a member that was cut off as it wrote,
    /// the rows would else stay locked, and whoever takes over would wait for it.
    /// </summary>
    public StoreAddress Record
    {
        get
        {
            var connection = new NpgsqlConnectionStringBuilder(Connection);
            connection.Options = $"{connection.Options} {StandsStill}".Trim();
            return StoreAddress.Postgres(connection.ToString());
        }
    }

    /// <summary>For what the members tell one another by the database, which is little.</summary>
    private string OfTheCluster =>
        new NpgsqlConnectionStringBuilder(Connection) { MaxPoolSize = ConnectionsOfTheCluster }.ToString();

    /// <summary>Makes the tables of the cluster, if there are none.</summary>
    /// <exception cref="RecordUnavailableException">The database does not answer.</exception>
    public async Task PrepareAsync(CancellationToken cancel)
    {
        try
        {
            await ClusterTables.MakeAsync(Connection, cancel);
        }
        catch (NpgsqlException problem)
        {
            throw new RecordUnavailableException(
                UnavailableReason.Unreachable,
                $"The database of the cluster cannot be used: {problem.Message}",
                problem
            );
        }
    }

    /// <summary>Lets a host take part.</summary>
    public void Join(WebApplicationBuilder builder)
    {
        builder.Services.AddSingleton<IInbox, GrainInbox>();
        builder.Services.Configure<KeyManagementOptions>(keys =>
            keys.XmlRepository = new SharedKeys(Connection)
        );
        builder.UseOrleans(silo =>
        {
            silo.Configure<ClusterOptions>(cluster => (cluster.ClusterId, cluster.ServiceId) = (Name, Name));
            silo.UseAdoNetClustering(o => (o.Invariant, o.ConnectionString) = (Provider, OfTheCluster));
            silo.UseAdoNetReminderService(o => (o.Invariant, o.ConnectionString) = (Provider, OfTheCluster));
            // Nobody from outside the cluster calls in, so that there is no gateway.
            silo.ConfigureEndpoints(Address, Port, gatewayPort: 0, listenOnAnyHostAddress: false);
            if (ListenPort is { } own)
            {
                IPAddress any =
                    IPAddress.IsLoopback(Address) ? Address
                    : Address.AddressFamily is AddressFamily.InterNetworkV6 ? IPAddress.IPv6Any
                    : IPAddress.Any;
                silo.Configure<EndpointOptions>(o => o.SiloListeningEndpoint = new IPEndPoint(any, own));
            }

            silo.Configure<ClusterMembershipOptions>(members =>
            {
                // A member that does not answer for so long is declared dead, and its rigs move (our choice).
                members.ProbeTimeout = TimeSpan.FromSeconds(3);
                members.NumMissedProbesLimit = 3;
                // One that was cut off finds out that it was given up as soon as it sees the table again.
                members.TableRefreshTimeout = TimeSpan.FromSeconds(5);
            });
            silo.Configure<SiloMessagingOptions>(messages =>
                messages.ResponseTimeout = TimeSpan.FromSeconds(10)
            );
        });
        builder.Services.AddHostedService<NightWatch>();
    }
}
