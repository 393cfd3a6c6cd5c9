using System.CommandLine;
using System.Net;
using Rinsewright.Cluster;
using Rinsewright.Quantities;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Cli;

/// <summary>The options of <c>serve</c> for several machines around one database.</summary>
internal sealed class ServeCluster
{
    private const string Cluster = "--cluster";
    private const double ShortestEvery_h = 0.02; // Orleans wakes nobody more often than each minute
    private const double LongestEvery_h = 24 * 7;
    private readonly Option<string?> _cluster;
    private readonly Option<string> _address;
    private readonly Option<int> _port;
    private readonly Option<int?> _listen;
    private readonly Option<double> _forecasts;

    public ServeCluster(Verb verb)
    {
        _cluster = verb.Has<string?>(
            Cluster,
            "Share the work with other machines: a PostgreSQL connection string (Host=…), the same for all. The record is in that database."
        );
        _address = verb.Has<string>(
            "--cluster-address",
            "With --cluster: this machine's address in the network of the others. Default: this machine only.",
            o => o.DefaultValueFactory = _ => IPAddress.Loopback.ToString()
        );
        _port = verb.Has<int>(
            "--cluster-port",
            "With --cluster: the port that the machines use among themselves. Nothing is encrypted or asked there: let nobody else reach it.",
            o => o.DefaultValueFactory = _ => ClusterMember.UsualPort
        );
        _listen = verb.Has<int?>(
            "--cluster-listen-port",
            "With --cluster: the port that this machine itself listens at, where a port mapping leads --cluster-port there. Default: the same."
        );
        _forecasts = verb.Has<double>(
            "--forecast-every-hours",
            "How often every rig is forecast, whether anybody looks at it or not.",
            o => o.DefaultValueFactory = _ => 24
        );
    }

    /// <summary>What the command line says, to be laid over the other options; prepares the cluster's tables.</summary>
    public Func<ServeOptions, Task<ServeOptions>> Read(
        ParseResult line,
        bool isDataGiven,
        List<InputProblem> problems,
        CancellationToken cancel
    )
    {
        double hours = line.GetValue(_forecasts);
        if (!(hours >= ShortestEvery_h && hours <= LongestEvery_h))
        {
            problems.Add(
                new(
                    "--forecast-every-hours",
                    FormattableString.Invariant($"{hours}"),
                    $"{ShortestEvery_h} to {LongestEvery_h}"
                )
            );
        }

        TimeSpan every = TimeSpan.FromHours(
            Math.Clamp(double.IsNaN(hours) ? 24 : hours, ShortestEvery_h, LongestEvery_h)
        );
        if (line.GetValue(_cluster) is not { } connection)
        {
            problems.AddRange(Given.Idle(line, Sentence.Of("--cluster beside it"), _address, _port, _listen));
            return options => Task.FromResult(options with { ForecastEvery = every });
        }

        if (StoreAddress.Parse(connection, _ => null).ConnectionString is null)
        {
            problems.Add(new(Cluster, connection, "a PostgreSQL connection string (Host=…)"));
        }

        if (isDataGiven)
        {
            problems.Add(new("--data", "beside --cluster", $"{Cluster} alone: it says where the record is"));
        }

        if (!IPAddress.TryParse(line.GetValue(_address), out IPAddress? address))
        {
            problems.Add(new("--cluster-address", line.GetValue(_address)!, "an IP address of this machine"));
        }

        int port = Port("--cluster-port", line.GetValue(_port), problems);
        int? listen = line.GetValue(_listen) is { } own ? Port("--cluster-listen-port", own, problems) : null;

        return async options =>
        {
            var member = new ClusterMember
            {
                Connection = connection,
                Address = address!,
                Port = port,
                ListenPort = listen,
            };
            await member.PrepareAsync(cancel);
            return options with { Address = member.Record, ForecastEvery = every, Join = member.Join };
        };
    }

    private static int Port(string option, int port, List<InputProblem> problems)
    {
        if (port is < 1 or > 65535)
        {
            problems.Add(new(option, FormattableString.Invariant($"{port}"), "a number from 1 to 65535"));
        }

        return port;
    }
}
