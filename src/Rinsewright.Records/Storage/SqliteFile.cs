using System.Data.Common;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore.Diagnostics;

namespace Rinsewright.Records.Storage;

/// <summary>What has to be right about one SQLite file before it is trusted.</summary>
internal static class SqliteFile
{
    public static string ConnectionString(string file, bool pooling = true) =>
        new SqliteConnectionStringBuilder
        {
            DataSource = file,
            ForeignKeys = true,
            Pooling = pooling,
            DefaultTimeout = 30,
        }.ToString();

    /// <summary>Whether SQLite's quick check finds the file whole.</summary>
    public static async Task<bool> IsSoundAsync(string file, CancellationToken cancel)
    {
        try
        {
            await using var connection = new SqliteConnection(ConnectionString(file, pooling: false));
            await connection.OpenAsync(cancel);
            await using SqliteCommand command = connection.CreateCommand();
            command.CommandText = "PRAGMA quick_check(1)";
            return await command.ExecuteScalarAsync(cancel) is "ok";
        }
        catch (SqliteException problem)
            when (problem.SqliteErrorCode is SqliteError.Corrupt or SqliteError.NotADatabase)
        {
            return false;
        }
    }

    /// <summary>Whether it is a record, and not some other database or an empty file.</summary>
    public static async Task<bool> IsRecordAsync(string file, CancellationToken cancel)
    {
        await using var connection = new SqliteConnection(ConnectionString(file, pooling: false));
        await connection.OpenAsync(cancel);
        await using SqliteCommand command = connection.CreateCommand();
        command.CommandText = "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = 'edit'";
        return await command.ExecuteScalarAsync(cancel) is 1L;
    }

    /// <summary>Writes a whole, checked copy of <paramref name="file"/>; it appears under its name only when it is complete.</summary>
    /// <exception cref="RecordUnavailableException">The copy fails its check.</exception>
    public static async Task CopyAsync(string file, string copy, CancellationToken cancel)
    {
        string partial = copy + ".partial";
        File.Delete(partial);
        await using (var connection = new SqliteConnection(ConnectionString(file, pooling: false)))
        {
            await connection.OpenAsync(cancel);
            await using SqliteCommand command = connection.CreateCommand();
            command.CommandText = "VACUUM INTO $copy";
            command.Parameters.AddWithValue("$copy", partial);
            await command.ExecuteNonQueryAsync(cancel);
        }

        if (!await IsSoundAsync(partial, cancel))
        {
            throw new RecordUnavailableException(
                UnavailableReason.Damaged,
                $"The copy {partial} does not pass its check; it was not taken as a backup."
            );
        }

        await using (var stream = new FileStream(partial, FileMode.Open, FileAccess.ReadWrite))
        {
            stream.Flush(flushToDisk: true);
        }

        File.Move(partial, copy, overwrite: false);
    }
}

/// <summary>Primary result codes of SQLite (sqlite.org/rescode.html).</summary>
internal static class SqliteError
{
    public const int Busy = 5;
    public const int ReadOnly = 8;
    public const int IoError = 10;
    public const int Corrupt = 11;
    public const int Full = 13;
    public const int CannotOpen = 14;
    public const int NotADatabase = 26;

    /// <summary>Extended code of a unique index or primary key that is already taken.</summary>
    public static bool IsTaken(int extendedCode) => extendedCode is 2067 or 1555;
}

/// <summary>Makes a commit return only when it is on the disk.</summary>
internal sealed class SqliteDurability : DbConnectionInterceptor
{
    public static SqliteDurability Instance { get; } = new();

    public override void ConnectionOpened(DbConnection connection, ConnectionEndEventData eventData) =>
        Set(connection);

    public override Task ConnectionOpenedAsync(
        DbConnection connection,
        ConnectionEndEventData eventData,
        CancellationToken cancellationToken = default
    )
    {
        Set(connection);
        return Task.CompletedTask;
    }

    private static void Set(DbConnection connection)
    {
        using DbCommand command = connection.CreateCommand();
        command.CommandText = "PRAGMA synchronous = FULL; PRAGMA busy_timeout = 20000";
        command.ExecuteNonQuery();
    }
}
