using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Infrastructure;
using Rinsewright.Records.Access;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Fleet;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Storage;

/// <summary>Who looks at the record and writes in it, where it is kept for several.</summary>
/// <param name="Organisation">The organisation whose entries are there for them.</param>
/// <param name="Author">In whose name their edits are.</param>
public sealed record RecordScope(Id<Organisation> Organisation, string Author);

/// <summary>Whose an entry is: what it says itself, else whose that is which it refers to.</summary>
internal static class Ownership
{
    /// <summary>The organisation of an entry, or the only one that people have accounts in.</summary>
    public static async Task<Id<Organisation>?> OfAsync(
        LogbookContext context,
        Entry? entry,
        CancellationToken cancel
    )
    {
        if (await OnlyAsync(context, cancel) is { } only)
        {
            return only;
        }

        for (Entry? at = entry; at is not null; )
        {
            List<(EntryKind Kind, Guid Key)> references = [.. ReferencesOf(at)];
            if (references.Find(r => r.Kind.Type == typeof(Organisation)) is { Kind: not null } whose)
            {
                return new Id<Organisation>(whose.Key);
            }

            at = references is [var first, ..]
                ? await first.Kind.FindAsync(context, first.Key, cancel)
                : null;
        }

        return null;
    }

    /// <summary>The organisation that all people are of; nothing when there are several, or no people.</summary>
    public static async Task<Id<Organisation>?> OnlyAsync(LogbookContext context, CancellationToken cancel) =>
        await context.Set<Account>().Select(a => a.OrganisationId).Distinct().Take(2).ToListAsync(cancel)
            is [var only]
            ? only
            : null;

    /// <summary>The entries that an entry refers to.</summary>
    public static IEnumerable<(EntryKind Kind, Guid Key)> ReferencesOf(Entry entry) =>
        EntryKind
            .Of(entry)
            .References.Select(r => (r.Target, Id: r.Property.GetValue(entry)))
            .Where(r => r.Id is not null)
            .Select(r => (EntryKind.All.First(k => k.Type == r.Target), Guid.Parse(r.Id!.ToString()!)));
}

/// <summary>A record that is kept to one organisation has another model: with filters, which the whole record goes without.</summary>
internal sealed class ModelOfScope : IModelCacheKeyFactory
{
    public object Create(DbContext context, bool designTime) =>
        (context.GetType(), context is LogbookContext { Scope: not null }, designTime);
}

/// <content>What of the record is there for an organisation: the one place that says so for every kind of entry.</content>
public abstract partial class LogbookContext
{
    internal Id<Organisation>? Scope { get; init; }

    private Id<Organisation> Own => Scope.GetValueOrDefault();

    private void KeepApart(ModelBuilder model)
    {
        model.Entity<Organisation>().HasQueryFilter(e => e.Id == Own);
        model.Entity<Person>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<Source>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<Rig>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<Meter>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<WashTask>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<Purchase>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<Price>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<Note>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<Photograph>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<PhotographContent>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<Edit>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<Account>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<ApiKey>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<AuditLine>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<AlarmDestination>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<FleetRig>().HasQueryFilter(e => e.OrganisationId == Own);
        model.Entity<FleetStage>().HasQueryFilter(e => e.OrganisationId == Own);

        // What refers to one of these is there where that is.
        model.Entity<Season>().HasQueryFilter(e => Set<Source>().Any(s => s.Id == e.SourceId));
        model.Entity<Stage>().HasQueryFilter(e => Set<Rig>().Any(r => r.Id == e.RigId));
        model.Entity<Fill>().HasQueryFilter(e => Set<Stage>().Any(s => s.Id == e.StageId));
        model.Entity<Upkeep>().HasQueryFilter(e => Set<Rig>().Any(r => r.Id == e.RigId));
        model.Entity<BenchCheck>().HasQueryFilter(e => Set<Meter>().Any(m => m.Id == e.MeterId));
        model.Entity<Habit>().HasQueryFilter(e => Set<Rig>().Any(r => r.Id == e.RigId));
        model.Entity<Draw>().HasQueryFilter(e => Set<Rig>().Any(r => r.Id == e.RigId));
        model.Entity<Reading>().HasQueryFilter(e => Set<Rig>().Any(r => r.Id == e.RigId));
        model.Entity<KeptForecast>().HasQueryFilter(e => Set<Rig>().Any(r => r.Id == e.RigId));
        model.Entity<KeptWear>().HasQueryFilter(e => Set<Rig>().Any(r => r.Id == e.RigId));
        model.Entity<ShareLink>().HasQueryFilter(e => Set<Rig>().Any(r => r.Id == e.RigId));
        model.Entity<EntryVersion>().HasQueryFilter(e => Set<Edit>().Any(d => d.Number == e.EditNumber));
        model
            .Entity<Device>()
            .HasQueryFilter(e => e.OrganisationId == Own || Set<Rig>().Any(r => r.Id == e.RigId));
        model
            .Entity<Alarm>()
            .HasQueryFilter(e => e.OrganisationId == Own || Set<Rig>().Any(r => r.Id == e.RigId));
        model
            .Entity<AlarmRule>()
            .HasQueryFilter(e => e.OrganisationId == Own || Set<Rig>().Any(r => r.Id == e.RigId));
        model
            .Entity<AlarmMessage>()
            .HasQueryFilter(e => Set<AlarmDestination>().Any(d => d.Id == e.DestinationId));
        model.Entity<AlarmPart>().HasQueryFilter(e => Set<Alarm>().Any(a => a.Id == e.AlarmId));
        model.Entity<DeviceChannel>().HasQueryFilter(e => Set<Device>().Any(d => d.Id == e.DeviceId));
        model.Entity<ReceivedRow>().HasQueryFilter(e => Set<Device>().Any(d => d.Id == e.DeviceId));
        model.Entity<RefusedRow>().HasQueryFilter(e => Set<Device>().Any(d => d.Id == e.DeviceId));
        model.Entity<DerivedEntry>().HasQueryFilter(e => Set<DeviceChannel>().Any(c => c.Id == e.ChannelId));
        // How far the board has followed the whole record is nobody's.
        model.Entity<FleetMark>().HasQueryFilter(_ => false);
        model.Entity<Passkey>().HasQueryFilter(e => Set<Account>().Any(a => a.Id == e.AccountId));
    }
}
