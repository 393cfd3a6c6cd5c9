using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Records;

public sealed class SqliteFileTests
{
    private static string FirstSchema => Path.Combine(AppContext.BaseDirectory, "Records", "first-schema.db");

    [Fact]
    public async Task Commits_wait_for_the_disk_and_references_are_enforced()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        await using LogbookContext context = record.Store.Read();
        await context.Database.OpenConnectionAsync(TestContext.Current.CancellationToken);
        Assert.Equal("wal", await PragmaAsync(context, "journal_mode"));
        Assert.Equal(2L, await PragmaAsync(context, "synchronous"));
        Assert.Equal(1L, await PragmaAsync(context, "foreign_keys"));
        Note orphan = new Entries(record.Store.Ids).Note("of a rig that is not there");
        await Assert.ThrowsAsync<DbUpdateException>(() =>
            record.Store.WriteAsync(TestRecord.Draft, [orphan])
        );
    }

    [Fact]
    public async Task A_backup_is_made_once_a_day_and_fourteen_are_kept()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        Backups backups = record.Store.Backups!;
        Assert.Empty(backups.List());
        for (int day = 0; day < 20; day++)
        {
            await record.ReopenAsync();
            record.Clock.Advance(TimeSpan.FromHours(12));
            await record.ReopenAsync();
            record.Clock.Advance(TimeSpan.FromHours(12));
        }

        Assert.Equal(Backups.Kept, backups.List().Count);
        Assert.EndsWith(
            "rinsewright-000020-2026-03-20T080000Z.db",
            backups.List()[0],
            StringComparison.Ordinal
        );
        Assert.EndsWith(
            "rinsewright-000007-2026-03-07T080000Z.db",
            backups.List()[^1],
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task A_clock_that_goes_back_reorders_neither_edits_nor_backups()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.Basis);
        await record.ReopenAsync();
        Edit before = await record.WriteAsync(entries.Note("before"));
        record.Clock.AdjustTime(TestRecord.Start.AddYears(-1));
        await record.ReopenAsync();
        Note late = entries.Note("after");
        Edit after = await record.WriteAsync(late);
        Assert.True(after.Number > before.Number && after.At < before.At);
        Edit undo = (await record.Store.UndoAsync(TestRecord.Draft, after.Number)).Edit!;
        Assert.Equal(after.Number, undo.Undoes);
        Assert.True((await record.ReadAsync(late.Id)).IsDeleted);

        IReadOnlyList<string> backups = record.Store.Backups!.List();
        Assert.Equal(2, backups.Count);
        Assert.Contains("000002-2025-03-01", backups[0], StringComparison.Ordinal);
        await record.ReopenAsync();
        Assert.Equal(2, record.Store.Backups!.List().Count);
    }

    [Theory]
    [InlineData(0, 100)]
    [InlineData(4096, 4096)]
    [InlineData(20_000, 30_000)]
    public async Task A_damaged_file_is_noticed_and_its_newest_whole_backup_brings_it_back(
        int from,
        int length
    )
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.OneOfEach());
        string good = await record.Store.Backups!.MakeAsync(default);
        string worse = await record.Store.Backups!.MakeAsync(default);
        await record.Store.DisposeAsync();
        SqliteConnection.ClearAllPools();
        string file = Path.Combine(record.Address.Folder!, "rinsewright.db");
        Spoil(worse, from, length);
        Spoil(file, from, length);
        byte[] damaged = await File.ReadAllBytesAsync(file);

        RecordUnavailableException refused = await Assert.ThrowsAsync<RecordUnavailableException>(() =>
            LogbookStore.OpenAsync(record.Address, record.Clock)
        );
        Assert.Equal(UnavailableReason.Damaged, refused.Reason);
        Assert.Equal(good, refused.NewestGoodBackup);
        Assert.Contains(good, refused.Message, StringComparison.Ordinal);
        Assert.Equal(damaged, await File.ReadAllBytesAsync(file));

        string? aside = await Backups.RestoreAsync(record.Address, good, record.Clock, default);
        Assert.Equal(damaged, await File.ReadAllBytesAsync(aside!));
        await record.ReopenAsync();
        Assert.Equal("Van 1", (await record.ReadAsync(entries.Rig.Id)).Name);
    }

    [Fact]
    public async Task What_is_no_record_is_not_restored()
    {
        await using TestRecord record = await TestRecord.CreateAsync(DatabaseKind.Sqlite);
        string empty = Path.Combine(record.Address.Folder!, "empty.db");
        await File.WriteAllBytesAsync(empty, []);
        RecordUnavailableException refused = await Assert.ThrowsAsync<RecordUnavailableException>(() =>
            Backups.RestoreAsync(record.Address, empty, record.Clock, default)
        );
        Assert.Equal(UnavailableReason.Damaged, refused.Reason);
        Assert.False(File.Exists(record.Address.DatabaseFile));
    }

    [Fact]
    public async Task A_record_in_use_is_not_replaced()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        string backup = await record.Store.Backups!.MakeAsync(default);
        RecordUnavailableException refused = await Assert.ThrowsAsync<RecordUnavailableException>(() =>
            Backups.RestoreAsync(record.Address, backup, record.Clock, default)
        );
        Assert.Equal(UnavailableReason.InUse, refused.Reason);
    }

    [Fact]
    public async Task A_record_of_a_newer_program_is_left_alone()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        await using (LogbookContext context = record.Store.Read())
        {
            await context.Database.ExecuteSqlAsync(
                $"INSERT INTO __EFMigrationsHistory VALUES ('29990101000000_Later', '99.0.0')"
            );
        }

        RecordUnavailableException refused = await Assert.ThrowsAsync<RecordUnavailableException>(
            record.ReopenAsync
        );
        Assert.Equal(UnavailableReason.Newer, refused.Reason);
    }

    [Fact]
    public async Task A_first_start_that_was_killed_does_not_block_the_next()
    {
        StoreAddress address = TestRecord.NewFolder();
        string file = Path.Combine(address.Folder!, "rinsewright.db");
        await using (var connection = new SqliteConnection($"Data Source={file};Pooling=False"))
        {
            await connection.OpenAsync();
            await using SqliteCommand command = connection.CreateCommand();
            command.CommandText = """
                CREATE TABLE "__EFMigrationsLock" ("Id" INTEGER PRIMARY KEY, "Timestamp" TEXT NOT NULL);
                INSERT INTO "__EFMigrationsLock" VALUES (1, '2026-03-01');
                """;
            await command.ExecuteNonQueryAsync();
        }

        await using (LogbookStore store = await LogbookStore.OpenAsync(address, TimeProvider.System))
        {
            WriteOutcome outcome = await store.WriteAsync(TestRecord.Draft, new Entries(store.Ids).Basis);
            Assert.NotNull(outcome.Edit);
        }

        SqliteConnection.ClearAllPools();
        Directory.Delete(address.Folder!, recursive: true);
    }

    [Fact]
    public async Task A_record_of_the_first_schema_opens_with_all_it_holds()
    {
        StoreAddress address = TestRecord.NewFolder();
        File.Copy(FirstSchema, Path.Combine(address.Folder!, "rinsewright.db"));
        await using (LogbookStore store = await LogbookStore.OpenAsync(address, TimeProvider.System))
        {
            await using LogbookContext context = store.Read();
            // Forecasts were not kept then, nothing was shared, and rigs belonged to nobody.
            foreach (
                EntryKind kind in EntryKind.All.Where(k =>
                    k.Type != typeof(KeptForecast)
                    && k.Type != typeof(KeptWear)
                    && k.Type != typeof(ShareLink)
                    && k.Type != typeof(Organisation)
                )
            )
            {
                Assert.True(await kind.CountAsync(context, default) > 0, kind.Name);
            }

            Rig rig = Assert.Single(context.Live<Rig>());
            IReadOnlyList<(Entry Entry, Edit Edit)> history = await store.HistoryAsync(
                EntryKind.Of(rig),
                rig.Key
            );
            Assert.Equal(["Van 1", "Van One"], history.Select(h => ((Rig)h.Entry).Name));
            Purchase bought = Assert.Single(context.Live<Purchase>());
            Assert.Equal("1234567890123.4500", FormattableString.Invariant($"{bought.Amount}"));
            Assert.Empty((await store.UndoAsync(TestRecord.Draft, history[1].Edit.Number)).Problems);
        }

        SqliteConnection.ClearAllPools();
        Directory.Delete(address.Folder!, recursive: true);
    }

    [Theory]
    [InlineData(null, "/data", "/somewhere", "/data/rinsewright")]
    [InlineData(null, null, "/somewhere", "/somewhere/.local/share/rinsewright")]
    [InlineData(null, "relative", "/somewhere", "/somewhere/.local/share/rinsewright")]
    [InlineData("/srv/log", "/data", "/somewhere", "/srv/log")]
    public void The_folder_follows_the_XDG_rules(string? given, string? dataHome, string home, string folder)
    {
        string? Look(string name) => name.StartsWith("XDG", StringComparison.Ordinal) ? dataHome : home;
        Assert.Equal(folder, StoreAddress.Parse(given, Look).Folder);
    }

    private static void Spoil(string file, int from, int length)
    {
        byte[] noise = new byte[length];
        new Random(1).NextBytes(noise);
        using FileStream stream = File.OpenWrite(file);
        stream.Position = from;
        stream.Write(noise);
    }

    private static async Task<object?> PragmaAsync(LogbookContext context, string name)
    {
        await using System.Data.Common.DbCommand command = context.Database.GetDbConnection().CreateCommand();
        command.CommandText = "PRAGMA " + name;
        return await command.ExecuteScalarAsync();
    }
}
