using System.Reflection;
using Npgsql;

namespace Rinsewright.Cluster;

/// <summary>The tables of a cluster, in the database of its record.</summary>
internal static class ClusterTables
{
    private const string Script = "ClusterTables.sql";

    /// <summary>Held while they are made, so that of several machines that start at once one does it (any number that nothing else uses).</summary>
    private const string TakeTurn = "SELECT pg_advisory_xact_lock(7124536011)";

    public static async Task MakeAsync(string connection, CancellationToken cancel)
    {
        await using NpgsqlDataSource database = NpgsqlDataSource.Create(connection);
        await using NpgsqlConnection session = await database.OpenConnectionAsync(cancel);
        await using NpgsqlTransaction transaction = await session.BeginTransactionAsync(cancel);
        await RunAsync(TakeTurn);
        if (await RunAsync("SELECT to_regclass('orleansquery') IS NOT NULL") is not true)
        {
            await RunAsync(await ReadScriptAsync(cancel));
        }

        await transaction.CommitAsync(cancel);

        async Task<object?> RunAsync(string sql)
        {
            await using var command = new NpgsqlCommand(sql, session, transaction);
            return await command.ExecuteScalarAsync(cancel);
        }
    }

    private static async Task<string> ReadScriptAsync(CancellationToken cancel)
    {
        using var script = new StreamReader(
            Assembly.GetExecutingAssembly().GetManifestResourceStream(Script)!
        );
        return await script.ReadToEndAsync(cancel);
    }
}
