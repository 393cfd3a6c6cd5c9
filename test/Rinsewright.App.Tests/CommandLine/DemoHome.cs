using Microsoft.Data.Sqlite;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

/// <summary>A data home of its own for command lines, empty or with the demonstration record, one backup and one undone edit.</summary>
internal sealed class DemoHome : IDisposable
{
    private static readonly Lazy<Task<IReadOnlyList<(string Name, byte[] Content)>>> Filled = new(FillAsync);
    private readonly string _folder = Directory.CreateTempSubdirectory("rinsewright-home-").FullName;

    public string Record => Path.Combine(_folder, "rinsewright");

    public static DemoHome Empty() => new();

    public static async Task<DemoHome> FilledAsync()
    {
        var home = new DemoHome();
        foreach ((string name, byte[] content) in await Filled.Value)
        {
            string copy = Path.Combine(home.Record, name);
            Directory.CreateDirectory(Path.GetDirectoryName(copy)!);
            await File.WriteAllBytesAsync(copy, content);
        }

        return home;
    }

    public Task<CliRun> RunAsync(params string[] args) => RunAsync(TimeProvider.System, args);

    public Task<CliRun> RunAsync(TimeProvider clock, params string[] args) =>
        CliRun.OfAsync(
            terminal => Commands.RunAsync(args, terminal),
            variable: name => name is "XDG_DATA_HOME" ? _folder : null,
            clock: clock
        );

    public void Dispose()
    {
        SqliteConnection.ClearAllPools();
        Directory.Delete(_folder, recursive: true);
    }

    private static async Task<IReadOnlyList<(string Name, byte[] Content)>> FillAsync()
    {
        using var home = new DemoHome();
        foreach (string line in (string[])["demo --until 2026-03-01", "backup", "undo"])
        {
            CliRun run = await home.RunAsync(line.Split(' '));
            Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        }

        // What is still in the write-ahead log goes into the file, so that the file alone can be copied.
        SqliteConnection.ClearAllPools();
        await using (
            var connection = new SqliteConnection(
                $"Data Source={Path.Combine(home.Record, "rinsewright.db")};Pooling=False"
            )
        )
        {
            await connection.OpenAsync();
            await using SqliteCommand command = connection.CreateCommand();
            command.CommandText = "PRAGMA wal_checkpoint(TRUNCATE)";
            await command.ExecuteNonQueryAsync();
        }

        return
        [
            .. Directory
                .EnumerateFiles(home.Record, "*.db", SearchOption.AllDirectories)
                .Select(f => (Path.GetRelativePath(home.Record, f), File.ReadAllBytes(f))),
        ];
    }
}
