using Microsoft.Data.Sqlite;
using Microsoft.Extensions.Time.Testing;
using Npgsql;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Records;

public enum DatabaseKind
{
    Sqlite,
    Postgres,
}

/// <summary>Every storage test runs on both databases.</summary>
public sealed class EveryDatabase : TheoryData<DatabaseKind>
{
    public EveryDatabase() => AddRange(DatabaseKind.Sqlite, DatabaseKind.Postgres);
}

/// <summary>A record of one test, in a folder or a database of its own, on a clock that stands still.</summary>
internal sealed class TestRecord : IAsyncDisposable
{
    public static readonly DateTimeOffset Start = new(2026, 3, 1, 8, 0, 0, TimeSpan.Zero);
    private readonly string? _database;

    private TestRecord(StoreAddress address, string? database)
    {
        Address = address;
        _database = database;
    }

    public StoreAddress Address { get; }

    public FakeTimeProvider Clock { get; } = new(Start);

    public LogbookStore Store { get; private set; } = null!;

    public static EditDraft Draft { get; } = new("Ana", "as it was");

    public static async Task<TestRecord> OpenAsync(DatabaseKind kind)
    {
        TestRecord record =
            kind is DatabaseKind.Postgres
                ? await CreatePostgresAsync(await PostgresTemplate.NameAsync())
                : await CreateAsync(kind);
        record.Store = await LogbookStore.OpenAsync(record.Address, record.Clock);
        return record;
    }

    public async Task ReopenAsync()
    {
        if (Store is not null)
        {
            await Store.DisposeAsync();
        }

        Store = await LogbookStore.OpenAsync(Address, Clock);
    }

    public async Task<Edit> WriteAsync(params Entry[] entries)
    {
        WriteOutcome outcome = await Store.WriteAsync(Draft, entries);
        Assert.Empty(outcome.Problems);
        return outcome.Edit!;
    }

    public async Task<T> ReadAsync<T>(Id<T> id)
        where T : Entry<T>
    {
        await using LogbookContext context = Store.Read();
        return (await context.FindAsync<T>(id))!;
    }

    public async ValueTask DisposeAsync()
    {
        if (Store is not null)
        {
            await Store.DisposeAsync();
        }

        if (Address.Folder is not null)
        {
            SqliteConnection.ClearAllPools();
            Directory.Delete(Address.Folder, recursive: true);
            return;
        }

        await using var own = new NpgsqlConnection(Address.ConnectionString);
        NpgsqlConnection.ClearPool(own);
        await ExecuteAsync($"DROP DATABASE {_database} WITH (FORCE)");
    }

    public static StoreAddress NewFolder() =>
        StoreAddress.InFolder(Directory.CreateTempSubdirectory("rinsewright-test-").FullName);

    /// <summary>A place for a record that nothing has been written to.</summary>
    public static async Task<TestRecord> CreateAsync(DatabaseKind kind)
    {
        if (kind is DatabaseKind.Sqlite)
        {
            return new TestRecord(NewFolder(), null);
        }

        return await CreatePostgresAsync(template: null);
    }

    private static async Task<TestRecord> CreatePostgresAsync(string? template)
    {
        SkipWithoutPostgres();
        string database = "rinsewright_" + Guid.NewGuid().ToString("N");
        if (template is null)
        {
            await ExecuteAsync($"CREATE DATABASE {database}");
        }
        else
        {
            await PostgresTemplate.CopyAsync(template, database);
        }

        return new TestRecord(AddressOf(database), database);
    }

    internal static StoreAddress AddressOf(string database) =>
        StoreAddress.Postgres(
            new NpgsqlConnectionStringBuilder(PostgresServer)
            {
                Database = database,
                MaxPoolSize = 20,
            }.ToString()
        );

    internal static void SkipWithoutPostgres() =>
        Assert.SkipWhen(PostgresServer is null, "RINSEWRIGHT_TEST_POSTGRES names no PostgreSQL server");

    public static string? PostgresServer =>
        Environment.GetEnvironmentVariable("RINSEWRIGHT_TEST_POSTGRES") is { Length: > 0 } server
            ? server
            : null;

    public static async Task<int> ExecuteAsync(string sql)
    {
        await using NpgsqlDataSource server = NpgsqlDataSource.Create(PostgresServer!);
        await using NpgsqlCommand command = server.CreateCommand(sql);
        return await command.ExecuteNonQueryAsync();
    }
}
