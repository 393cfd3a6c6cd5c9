using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Alarms;

/// <summary>Looks at all devices at once: which have been silent for long, and of which rows are refused.</summary>
internal sealed class DeviceAlarms(
    [FromKeyedServices(PeopleHosting.Whole)] LogbookStore store,
    AlarmBook book
)
{
    private static readonly TimeSpan RefusedWithin = TimeSpan.FromDays(1);

    /// <summary>Raises what is to be raised of devices, and ends what is over.</summary>
    /// <exception cref="RecordUnavailableException">The record cannot be written.</exception>
    public async Task LookAsync(CancellationToken cancel)
    {
        DateTimeOffset now = store.Clock.GetUtcNow();
        DateTimeOffset since = now - RefusedWithin;
        await using LogbookContext context = store.Read();
        List<Alarm> open = await context
            .Set<Alarm>()
            .AsNoTracking()
            .Where(a => a.ClearedAt == null && (a.Kind == AlarmKind.Silence || a.Kind == AlarmKind.Refused))
            .ToListAsync(cancel);
        Dictionary<Id<Rig>, Id<Organisation>?> rigs = await context
            .Live<Rig>()
            .ToDictionaryAsync(r => r.Id, r => r.OrganisationId, cancel);
        var devices = await context
            .Set<Device>()
            .Where(d => d.RevokedAt == null)
            .Select(d => new
            {
                d.Id,
                d.RigId,
                d.OrganisationId,
                Heard = d.LastHeardAt ?? d.AddedAt,
            })
            .ToListAsync(cancel);
        Dictionary<Guid, int> refused = await context
            .Set<RefusedRow>()
            .Where(r => r.LastAt >= since)
            .GroupBy(r => r.DeviceId)
            .Select(g => new { Device = g.Key, Rows = g.Count() })
            .ToDictionaryAsync(g => g.Device, g => g.Rows, cancel);
        RuleBook rules = await book.RulesAsync(cancel);
        List<Finding> findings = [];
        foreach (var device in devices.Where(d => d.RigId is null || rigs.ContainsKey(d.RigId.Value)))
        {
            var place = new AlarmPlace(
                device.RigId is { } rig ? rigs[rig] : device.OrganisationId,
                device.RigId,
                device.Id
            );
            findings.Add(
                Finding.Of(
                    place,
                    rules.For(AlarmKind.Silence, place),
                    device.Id,
                    (now - device.Heard).TotalHours
                )
            );
            findings.Add(
                Finding.Of(
                    place,
                    rules.For(AlarmKind.Refused, place),
                    device.Id,
                    refused.GetValueOrDefault(device.Id)
                )
            );
        }

        HashSet<(AlarmKind, Guid)> known = [.. open.Select(a => (a.Kind, a.Subject))];
        HashSet<Guid> seen = [.. findings.Select(f => f.Subject)];
        await book.ApplyAsync(
            findings
                .Where(f => known.Contains((f.Kind, f.Subject)) ? f.IsGone : f.IsPast)
                // A device that was revoked, or whose rig was deleted, worries nobody.
                .Concat(open.Where(a => !seen.Contains(a.Subject)).Select(Finding.Over)),
            cancel
        );
    }
}
