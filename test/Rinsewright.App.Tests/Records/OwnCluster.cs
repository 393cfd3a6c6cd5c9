using System.Diagnostics;
using Npgsql;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Records;

/// <summary>
/// A PostgreSQL server of one test, which may stop and start it as it likes; the server that the other tests
/// share must stay up. PostgreSQL does not run as root, so root starts it as the user <c>postgres</c>.
/// </summary>
internal sealed class OwnCluster : IAsyncDisposable
{
    private readonly string _programs;
    private readonly string _folder;

    private OwnCluster(string programs, string folder)
    {
        _programs = programs;
        _folder = folder;
    }

    public StoreAddress Address =>
        StoreAddress.Postgres($"Host={_folder};Username=postgres;Database=postgres;Maximum Pool Size=20");

    private string Data => Path.Combine(_folder, "data");

    public static async Task<OwnCluster> StartAsync()
    {
        string? programs = FindPrograms();
        Assert.SkipWhen(programs is null, "no PostgreSQL server programs (initdb, pg_ctl) are installed");
        string folder = Directory.CreateTempSubdirectory("rinsewright-pg-").FullName;
        var cluster = new OwnCluster(programs!, folder);
        if (Environment.IsPrivilegedProcess)
        {
            await RunAsync("chown", "postgres", folder);
        }

        await cluster.AsServerAsync(
            "initdb",
            "-D",
            cluster.Data,
            "-U",
            "postgres",
            "-A",
            "trust",
            "--no-sync"
        );
        await cluster.ControlAsync("start");
        // The server makes its socket for everyone; whoever tests must reach the folder that it is in.
        if (Environment.IsPrivilegedProcess)
        {
            await RunAsync("chmod", "711", folder);
        }

        return cluster;
    }

    /// <summary>Stops the server while clients are connected and starts it again.</summary>
    /// <param name="mode"><c>fast</c> ends every session in order; <c>immediate</c> is a crash.</param>
    public Task RestartAsync(string mode) => ControlAsync("restart", "-m", mode);

    public async ValueTask DisposeAsync()
    {
        await using (var any = new NpgsqlConnection(Address.ConnectionString))
        {
            NpgsqlConnection.ClearPool(any);
        }

        await ControlAsync("stop", "-m", "immediate");
        Directory.Delete(_folder, recursive: true);
    }

    private Task ControlAsync(string action, params string[] more) =>
        AsServerAsync(
            "pg_ctl",
            [
                action,
                "-D",
                Data,
                "-w",
                "-t",
                "60",
                "-l",
                Path.Combine(_folder, "log"),
                .. more,
                .. action is "stop"
                    ? (string[])[]
                    : ["-o", $"-c listen_addresses= -c unix_socket_directories={_folder} -c fsync=off"],
            ]
        );

    private Task AsServerAsync(string program, params string[] args)
    {
        string path = Path.Combine(_programs, program);
        return Environment.IsPrivilegedProcess
            ? RunAsync("runuser", ["-u", "postgres", "--", path, .. args])
            : RunAsync(path, args);
    }

    private static async Task RunAsync(string program, params string[] args)
    {
        // Its output is not read: the server keeps it open for as long as it runs.
        using Process process = Process.Start(
            new ProcessStartInfo("/bin/sh", ["-c", "exec \"$@\" >/dev/null 2>&1", "sh", program, .. args])
            {
                UseShellExecute = false,
                WorkingDirectory = "/",
            }
        )!;
        await process.WaitForExitAsync();
        Assert.True(
            process.ExitCode == 0,
            $"{program} {string.Join(' ', args)} ended with {process.ExitCode}"
        );
    }

    private static string? FindPrograms() =>
        new[] { "/usr/lib/postgresql", "/usr" }
            .Where(Directory.Exists)
            .SelectMany(root =>
                root is "/usr" ? Directory.GetDirectories(root, "pgsql-*") : Directory.GetDirectories(root)
            )
            .Select(version => Path.Combine(version, "bin"))
            .Where(bin =>
                File.Exists(Path.Combine(bin, "initdb")) && File.Exists(Path.Combine(bin, "pg_ctl"))
            )
            .Order(StringComparer.Ordinal)
            .LastOrDefault();
}
