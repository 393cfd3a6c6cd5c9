using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;

namespace Rinsewright.Records.Storage;

/// <summary>Checks a record and brings its tables up to date before it is used.</summary>
internal static class StoreOpening
{
    /// <summary>Opens the folder or database at <paramref name="address"/>.</summary>
    /// <returns>The shared lock on the folder, to be held while the record is in use.</returns>
    /// <exception cref="RecordUnavailableException">With the reason.</exception>
    public static async Task<FileStream?> PrepareAsync(
        StoreAddress address,
        TimeProvider clock,
        CancellationToken cancel
    )
    {
        if (address.Folder is null)
        {
            await BringUpToDateAsync(address, backups: null, cancel);
            return null;
        }

        Directory.CreateDirectory(address.Folder);
        FileStream inUse = FolderLock.Share(address.Folder);
        try
        {
            var backups = new Backups(address, clock);
            bool isNew = !File.Exists(address.DatabaseFile);
            if (!isNew && !await SqliteFile.IsSoundAsync(address.DatabaseFile, cancel))
            {
                throw await DamagedAsync(address, backups, cancel);
            }

            await using (FileStream turn = await FolderLock.TurnAsync(address.Folder, clock, cancel))
            {
                await ClearAbandonedLockAsync(address, cancel);
                await BringUpToDateAsync(address, backups, cancel);
                if (!isNew)
                {
                    await backups.MakeIfDueAsync(cancel);
                }
            }

            return inUse;
        }
        catch
        {
            await inUse.DisposeAsync();
            throw;
        }
    }

    private static async Task<RecordUnavailableException> DamagedAsync(
        StoreAddress address,
        Backups backups,
        CancellationToken cancel
    )
    {
        string? good = await backups.NewestGoodAsync(cancel);
        string advice = good is null
            ? "There is no whole backup in its folder backups."
            : $"The newest whole backup is {good}: restore it with 'rinsewright restore \"{good}\"'. The damaged file is kept.";
        return new RecordUnavailableException(
            UnavailableReason.Damaged,
            $"The record in {address} is damaged: it fails its integrity check. Nothing was changed. {advice}"
        )
        {
            NewestGoodBackup = good,
        };
    }

    private static async Task BringUpToDateAsync(
        StoreAddress address,
        Backups? backups,
        CancellationToken cancel
    )
    {
        await using LogbookContext context = address.NewContext(mayWrite: false);
        HashSet<string> known = [.. context.Database.GetMigrations()];
        List<string> applied = [.. await context.Database.GetAppliedMigrationsAsync(cancel)];
        if (applied.Exists(name => !known.Contains(name)))
        {
            throw new RecordUnavailableException(
                UnavailableReason.Newer,
                $"The record in {address} was written by a newer version of this program. Nothing was changed."
            );
        }

        if (applied.Count == known.Count)
        {
            return;
        }

        if (applied.Count > 0 && backups is not null)
        {
            await backups.MakeAsync(cancel);
        }

        await context.Database.MigrateAsync(cancel);
    }

    // A process that dies while it creates tables leaves the migration lock behind; whoever holds the
    // folder's upgrade lock knows that nobody else can be using it.
    private static async Task ClearAbandonedLockAsync(StoreAddress address, CancellationToken cancel)
    {
        await using var connection = new SqliteConnection(
            SqliteFile.ConnectionString(address.DatabaseFile, pooling: false)
        );
        await connection.OpenAsync(cancel);
        await using SqliteCommand command = connection.CreateCommand();
        command.CommandText = "PRAGMA journal_mode = WAL";
        await command.ExecuteNonQueryAsync(cancel);
        command.CommandText = "SELECT count(*) FROM sqlite_master WHERE name = '__EFMigrationsLock'";
        if (await command.ExecuteScalarAsync(cancel) is > 0L)
        {
            command.CommandText = "DELETE FROM \"__EFMigrationsLock\"";
            await command.ExecuteNonQueryAsync(cancel);
        }
    }
}
