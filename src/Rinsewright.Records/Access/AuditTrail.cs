using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Access;

/// <summary>Who does something about people and keys, and from where.</summary>
/// <param name="Who">Their name.</param>
/// <param name="Address">The network address; empty for the command line.</param>
public sealed record Actor(string Who, string Address = "");

/// <summary>What was done about people and keys: who, what, when, from where. What is written of rigs is in the edits.</summary>
public sealed class AuditTrail(LogbookStore store)
{
    private const int LongestName = 100;

    /// <summary>Adds a line that stands by itself; what changes something writes its line with the change.</summary>
    public Task AddAsync(
        Actor actor,
        string what,
        Id<Organisation>? organisation,
        CancellationToken cancel
    ) =>
        store.TransactAsync(
            (context, _) =>
            {
                context.Add(Line(actor, what, organisation, store.Clock));
                return Task.FromResult(0);
            },
            cancel
        );

    /// <summary>The newest lines, the last first.</summary>
    public async Task<IReadOnlyList<AuditLine>> ListAsync(int count, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await context
            .Set<AuditLine>()
            .AsNoTracking()
            .OrderByDescending(l => l.Id)
            .Take(count)
            .ToListAsync(cancel);
    }

    internal static AuditLine Line(
        Actor actor,
        string what,
        Id<Organisation>? organisation,
        TimeProvider clock
    ) =>
        new()
        {
            At = Instant.Now(clock),
            OrganisationId = organisation,
            // A name that was only tried may be anything.
            Who = new string([.. actor.Who.Where(c => !char.IsControl(c)).Take(LongestName)]),
            What = what,
            Address = actor.Address,
        };

    internal static async Task<AuditLine> OfDeviceAsync(
        LogbookContext context,
        Device device,
        string what,
        TimeProvider clock
    ) =>
        Line(
            new Actor("command line"),
            what,
            device.OrganisationId
                ?? await context
                    .Set<Rig>()
                    .Where(r => r.Id == device.RigId)
                    .Select(r => r.OrganisationId)
                    .FirstOrDefaultAsync(),
            clock
        );
}
