using System.Reflection;
using System.Text.Json;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Storage;

/// <summary>
/// One kind of entry: its name, its table, its JSON. All storage, history, undo, export and import work over
/// <see cref="All"/>; a new kind is one more line there and a migration.
/// </summary>
public abstract class EntryKind
{
    /// <summary>Every kind, each after those that it refers to.</summary>
    public static IReadOnlyList<EntryKind> All { get; } =
    [
        new EntryKind<Organisation>(),
        new EntryKind<Person>(),
        new EntryKind<Source>(),
        new EntryKind<Season>(),
        new EntryKind<Rig>(),
        new EntryKind<Stage>(),
        new EntryKind<Purchase>(),
        new EntryKind<Fill>(),
        new EntryKind<Upkeep>(),
        new EntryKind<Meter>(),
        new EntryKind<BenchCheck>(),
        new EntryKind<WashTask>(),
        new EntryKind<Habit>(),
        new EntryKind<Draw>(),
        new EntryKind<Reading>(),
        new EntryKind<Price>(),
        new EntryKind<Note>(),
        new EntryKind<PhotographContent>(),
        new EntryKind<Photograph>(),
        new EntryKind<KeptForecast>(),
        new EntryKind<KeptWear>(),
        new EntryKind<ShareLink>(),
    ];

    private protected EntryKind(Type type)
    {
        Type = type;
        Name = ColumnName.Of(type.Name);
    }

    /// <summary>Name of the table and of the kind in JSON.</summary>
    public string Name { get; }

    /// <summary>The entry's type.</summary>
    public Type Type { get; }

    /// <summary>What it refers to: the properties that hold ids of other entries, with their kinds' types.</summary>
    internal IReadOnlyList<(PropertyInfo Property, Type Target)> References =>
        field ??= [
            .. Type.GetProperties()
                .Where(p => p.DeclaringType == Type)
                .Select(p => (Property: p, Id: Nullable.GetUnderlyingType(p.PropertyType) ?? p.PropertyType))
                .Where(p => p.Id.IsGenericType && p.Id.GetGenericTypeDefinition() == typeof(Id<>))
                .Select(p => (p.Property, p.Id.GetGenericArguments()[0])),
        ];

    public static EntryKind Of(Entry entry) => All.First(k => k.Type == entry.GetType());

    public static EntryKind? Named(string name) =>
        All.FirstOrDefault(k => string.Equals(k.Name, name, StringComparison.Ordinal));

    /// <summary>The entry as JSON, with the same names as its columns.</summary>
    public string ToJson(Entry entry) => JsonSerializer.Serialize(entry, Type, EntryJson.Options);

    internal Entry FromJson(string json) =>
        (Entry?)JsonSerializer.Deserialize(json, Type, EntryJson.Options)
        ?? throw new JsonException($"A {Name} is missing.");

    internal abstract void Map(ModelBuilder model);

    internal abstract void MapId(ModelConfigurationBuilder configuration, bool asBytes);

    internal abstract ValueTask<Entry?> FindAsync(LogbookContext context, Guid key, CancellationToken cancel);

    /// <summary>Brings the latest versions into <paramref name="context"/>, where <see cref="FindAsync"/> then finds them without asking the database.</summary>
    internal abstract Task LoadAsync(
        LogbookContext context,
        IReadOnlyCollection<Guid> keys,
        CancellationToken cancel
    );

    internal abstract IAsyncEnumerable<Guid> KeysWrittenBy(LogbookContext context, long edit);

    /// <summary>How many entries stand as each of these edits wrote them.</summary>
    internal abstract Task<List<(long Edit, int Entries)>> CountWrittenByAsync(
        LogbookContext context,
        IReadOnlyCollection<long> edits,
        CancellationToken cancel
    );

    /// <summary>The latest version of every entry, deleted ones too, by key.</summary>
    internal abstract IAsyncEnumerable<Entry> AllByKey(LogbookContext context);

    internal abstract Task<int> CountAsync(LogbookContext context, CancellationToken cancel);

    internal abstract Entry WithVersion(Entry entry, int version, long editNumber);

    internal abstract Entry AsDeleted(Entry entry);
}

internal sealed class EntryKind<T> : EntryKind
    where T : Entry<T>
{
    public EntryKind()
        : base(typeof(T)) { }

    internal override void Map(ModelBuilder model)
    {
        EntityTypeBuilder<T> table = model.Entity<T>();
        table.ToTable(Name);
        table.HasKey(e => e.Id);
        table.Ignore(e => e.Key);
        table.Property(e => e.Id).ValueGeneratedNever();
        table.Property(e => e.Version).IsConcurrencyToken();
        table.HasIndex(e => e.EditNumber);
        table.HasOne<Edit>().WithMany().HasForeignKey(e => e.EditNumber).OnDelete(DeleteBehavior.Restrict);
        foreach ((PropertyInfo property, Type target) in References)
        {
            table.HasOne(target).WithMany().HasForeignKey(property.Name).OnDelete(DeleteBehavior.Restrict);
        }
    }

    internal override void MapId(ModelConfigurationBuilder configuration, bool asBytes)
    {
        if (asBytes)
        {
            configuration.Properties<Id<T>>().HaveConversion<IdToBytes<T>>();
        }
        else
        {
            configuration.Properties<Id<T>>().HaveConversion<IdToGuid<T>>();
        }
    }

    internal override async ValueTask<Entry?> FindAsync(
        LogbookContext context,
        Guid key,
        CancellationToken cancel
    ) => await context.Set<T>().FindAsync([new Id<T>(key)], cancel);

    internal override Task LoadAsync(
        LogbookContext context,
        IReadOnlyCollection<Guid> keys,
        CancellationToken cancel
    )
    {
        List<Id<T>> ids = [.. keys.Select(key => new Id<T>(key))];
        return context.Set<T>().Where(e => ids.Contains(e.Id)).LoadAsync(cancel);
    }

    internal override IAsyncEnumerable<Guid> KeysWrittenBy(LogbookContext context, long edit) =>
        context
            .Set<T>()
            .AsNoTracking()
            .Where(e => e.EditNumber == edit)
            .Select(e => e.Id)
            .AsAsyncEnumerable()
            .Select(id => id.Value);

    internal override async Task<List<(long Edit, int Entries)>> CountWrittenByAsync(
        LogbookContext context,
        IReadOnlyCollection<long> edits,
        CancellationToken cancel
    ) =>
        [
            .. (
                await context
                    .Set<T>()
                    .AsNoTracking()
                    .Where(e => edits.Contains(e.EditNumber))
                    .GroupBy(e => e.EditNumber)
                    .Select(g => new { Edit = g.Key, Entries = g.Count() })
                    .ToListAsync(cancel)
            ).Select(c => (c.Edit, c.Entries)),
        ];

    internal override IAsyncEnumerable<Entry> AllByKey(LogbookContext context) =>
        context.Set<T>().AsNoTracking().OrderBy(e => e.Id).AsAsyncEnumerable();

    internal override Task<int> CountAsync(LogbookContext context, CancellationToken cancel) =>
        context.Set<T>().CountAsync(cancel);

    internal override Entry WithVersion(Entry entry, int version, long editNumber) =>
        (T)entry with
        {
            Version = version,
            EditNumber = editNumber,
        };

    internal override Entry AsDeleted(Entry entry) => (T)entry with { IsDeleted = true };
}
