using Npgsql;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Records;

/// <summary>An empty record on PostgreSQL, brought up to date once in a run, of which the tests get copies.</summary>
internal static class PostgresTemplate
{
    private static readonly Lazy<Task<string>> Made = new(MakeAsync);

    // PostgreSQL copies a database only while nobody else is at it, another copy included.
    private static readonly SemaphoreSlim Turn = new(1);

    public static Task<string> NameAsync()
    {
        TestRecord.SkipWithoutPostgres();
        return Made.Value;
    }

    public static async Task CopyAsync(string template, string database)
    {
        await Turn.WaitAsync();
        try
        {
            await TestRecord.ExecuteAsync($"CREATE DATABASE {database} TEMPLATE {template}");
        }
        finally
        {
            Turn.Release();
        }
    }

    private static async Task<string> MakeAsync()
    {
        string name = "rinsewright_template_" + Guid.NewGuid().ToString("N");
        await TestRecord.ExecuteAsync($"CREATE DATABASE {name}");
        AppDomain.CurrentDomain.ProcessExit += (_, _) =>
            TestRecord.ExecuteAsync($"DROP DATABASE {name} WITH (FORCE)").GetAwaiter().GetResult();
        StoreAddress address = TestRecord.AddressOf(name);
        await using (await LogbookStore.OpenAsync(address, TimeProvider.System)) { }
        await using var connection = new NpgsqlConnection(address.ConnectionString);
        NpgsqlConnection.ClearPool(connection);
        return name;
    }
}
