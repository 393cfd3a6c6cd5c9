using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Infrastructure;
using Microsoft.EntityFrameworkCore.Migrations;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Records;

public sealed class SchemaTests
{
    private const string Key = "0197f3a0b2c07c3d8e4f5a6b7c8d9e0f";

    private const string SqliteRows = $"""
        INSERT INTO edit (number, at, author, reason, idempotency_key) VALUES (1, 0, 'Ana', 'first', x'{Key}');
        INSERT INTO source (id, version, edit_number, is_deleted, name) VALUES (x'{Key}', 1, 1, 0, 'Town mains')
        """;

    private const string PostgresRows = $"""
        INSERT INTO edit (number, at, author, reason, idempotency_key)
        VALUES (1, '1970-01-01Z', 'Ana', 'first', '{Key}');
        INSERT INTO source (id, version, edit_number, is_deleted, name) VALUES ('{Key}', 1, 1, false, 'Town mains')
        """;

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_record_of_every_older_schema_opens_with_what_it_held(DatabaseKind database)
    {
        string[] schemas;
        await using (TestRecord newest = await TestRecord.OpenAsync(database))
        await using (LogbookContext context = newest.Store.Read())
        {
            schemas = [.. context.Database.GetMigrations()];
        }

        Assert.True(schemas.Length > 1);
        foreach (string schema in schemas[..^1])
        {
            await using TestRecord record = await TestRecord.CreateAsync(database);
            await using (LogbookContext old = record.Address.NewContext(mayWrite: false))
            {
                await old.GetService<IMigrator>().MigrateAsync(schema);
                await old.Database.ExecuteSqlRawAsync(
                    database is DatabaseKind.Sqlite ? SqliteRows : PostgresRows
                );
            }

            await record.ReopenAsync();
            var id = new Id<Source>(Guid.ParseExact(Key, "N"));
            IReadOnlyList<(Entry Entry, Edit Edit)> history = await record.Store.HistoryAsync(
                EntryKind.Of(await record.ReadAsync(id)),
                id.Value
            );
            (Entry entry, Edit edit) = Assert.Single(history);
            Assert.Equal(("Town mains", "Ana", "first"), (((Source)entry).Name, edit.Author, edit.Reason));
            await using LogbookContext context = record.Store.Read();
            Assert.Empty(
                await context.Database.GetPendingMigrationsAsync(TestContext.Current.CancellationToken)
            );
        }
    }
}
