using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata;
using Microsoft.EntityFrameworkCore.Metadata.Conventions;
using Rinsewright.Records.Access;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Storage;

/// <summary>
/// The record as tables. Everyone may read through it; only <see cref="LogbookStore"/> writes, because only
/// an edit may write.
/// </summary>
public abstract partial class LogbookContext : DbContext
{
    private protected LogbookContext(DbContextOptions options)
        : base(options) { }

    /// <summary>Every edit, in order of <see cref="Edit.Number"/>.</summary>
    public DbSet<Edit> Edits => Set<Edit>();

    /// <summary>Versions that later ones have replaced.</summary>
    public DbSet<EntryVersion> History => Set<EntryVersion>();

    internal bool MayWrite { get; init; }

    /// <summary>Whether it had a connection to a server; see <see cref="OneConnection"/>.</summary>
    internal bool WasOpened { get; set; }

    private protected abstract bool StoresPlainValues { get; }

    /// <summary>Entries of one kind as they stand now, without deleted ones.</summary>
    public IQueryable<T> Live<T>()
        where T : Entry<T> => Set<T>().AsNoTracking().Where(e => !e.IsDeleted);

    public override int SaveChanges(bool acceptAllChangesOnSuccess)
    {
        RefuseUnlessWriting();
        return base.SaveChanges(acceptAllChangesOnSuccess);
    }

    public override Task<int> SaveChangesAsync(
        bool acceptAllChangesOnSuccess,
        CancellationToken cancellationToken = default
    )
    {
        RefuseUnlessWriting();
        return base.SaveChangesAsync(acceptAllChangesOnSuccess, cancellationToken);
    }

    private void RefuseUnlessWriting()
    {
        if (!MayWrite)
        {
            throw new InvalidOperationException("The record is written through LogbookStore only.");
        }

        if (
            ChangeTracker
                .Entries<AuditLine>()
                .Any(l => l.State is EntityState.Modified or EntityState.Deleted)
        )
        {
            throw new InvalidOperationException("The audit trail is only added to.");
        }
    }

    protected override void ConfigureConventions(ModelConfigurationBuilder configurationBuilder)
    {
        // Nothing is ever deleted from the tables, so no index is needed behind a foreign key.
        configurationBuilder.Conventions.Remove<ForeignKeyIndexConvention>();
        foreach (EntryKind kind in EntryKind.All)
        {
            kind.MapId(configurationBuilder, StoresPlainValues);
        }

        if (StoresPlainValues)
        {
            configurationBuilder.Properties<DateTimeOffset>().HaveConversion<InstantToMilliseconds>();
            configurationBuilder.Properties<Guid>().HaveConversion<GuidToBytes>();
            configurationBuilder.Properties<decimal>().HaveConversion<DecimalToText>();
        }
    }

    protected override void OnModelCreating(ModelBuilder modelBuilder)
    {
        modelBuilder.Entity<Edit>(table =>
        {
            table.ToTable("edit");
            table.HasKey(e => e.Number);
            table.Property(e => e.Number).ValueGeneratedOnAdd();
            table.HasIndex(e => e.IdempotencyKey).IsUnique();
            table.HasIndex(e => e.Undoes);
            table.HasOne<Edit>().WithMany().HasForeignKey(e => e.Undoes).OnDelete(DeleteBehavior.Restrict);
        });
        modelBuilder.Entity<EntryVersion>(table =>
        {
            table.ToTable("entry_history");
            table.HasKey(e => new
            {
                e.Kind,
                e.Key,
                e.Version,
            });
            table.HasIndex(e => e.EditNumber);
            table
                .HasOne<Edit>()
                .WithMany()
                .HasForeignKey(e => e.EditNumber)
                .OnDelete(DeleteBehavior.Restrict);
        });
        foreach (EntryKind kind in EntryKind.All)
        {
            kind.Map(modelBuilder);
        }

        modelBuilder.Entity<Draw>().HasIndex(e => new { e.RigId, e.At });
        modelBuilder.Entity<Fill>().HasIndex(e => new { e.StageId, e.PutInAt });
        modelBuilder.Entity<BenchCheck>().HasIndex(e => new { e.MeterId, e.At });
        modelBuilder.Entity<ShareLink>().HasIndex(e => e.TokenHash).IsUnique();
        modelBuilder.Entity<Note>().HasIndex(e => new { e.RigId, e.At });
        modelBuilder.Entity<KeptForecast>().HasIndex(e => new { e.RigId, e.At });
        modelBuilder.Entity<KeptWear>().HasIndex(e => e.FillId);
        modelBuilder.Entity<Rig>().HasIndex(e => e.OrganisationId);
        IngestTables.Map(modelBuilder);
        AccessTables.Map(modelBuilder);
        AlarmTables.Map(modelBuilder);
        FleetTables.Map(modelBuilder);
        foreach (IMutableEntityType table in modelBuilder.Model.GetEntityTypes())
        {
            foreach (IMutableProperty column in table.GetProperties())
            {
                column.SetColumnName(ColumnName.Of(column.Name));
            }
        }

        if (Scope is not null)
        {
            KeepApart(modelBuilder);
        }
    }
}

/// <summary>The record in one SQLite file.</summary>
public sealed class SqliteLogbookContext(DbContextOptions<SqliteLogbookContext> options)
    : LogbookContext(options)
{
    private protected override bool StoresPlainValues => true;
}

/// <summary>The record in a PostgreSQL database.</summary>
public sealed class PostgresLogbookContext(DbContextOptions<PostgresLogbookContext> options)
    : LogbookContext(options)
{
    private protected override bool StoresPlainValues => false;
}
