using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Design;

namespace Rinsewright.Records.Storage;

/// <summary>Lets <c>dotnet ef migrations add NAME --context SqliteLogbookContext --output-dir Storage/Migrations/Sqlite</c> build the model.</summary>
internal sealed class SqliteDesignTime : IDesignTimeDbContextFactory<SqliteLogbookContext>
{
    public SqliteLogbookContext CreateDbContext(string[] args) =>
        new(new DbContextOptionsBuilder<SqliteLogbookContext>().UseSqlite().Options);
}

/// <summary>The same for <c>--context PostgresLogbookContext --output-dir Storage/Migrations/Postgres</c>.</summary>
internal sealed class PostgresDesignTime : IDesignTimeDbContextFactory<PostgresLogbookContext>
{
    public PostgresLogbookContext CreateDbContext(string[] args) =>
        new(new DbContextOptionsBuilder<PostgresLogbookContext>().UseNpgsql().Options);
}
