using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Serving;

/// <summary>Processes that serve one database together.</summary>
internal static class Cluster
{
    public static Task<ServingProcess> MemberAsync(StoreAddress address, params string[] more) =>
        MemberAsync(address.ConnectionString!, FreePort.Next(), more);

    public static Task<ServingProcess> MemberAsync(string database, int port, params string[] more) =>
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
