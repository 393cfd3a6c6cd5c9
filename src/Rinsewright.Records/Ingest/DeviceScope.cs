using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Ingest;

/// <summary>The rigs that a device may report on, with their stages, and the meters of the record, found by name or id.</summary>
internal sealed class DeviceScope
{
    private readonly IReadOnlyList<Rig> _rigs;
    private readonly ILookup<Id<Rig>, Stage> _stages;
    private readonly IReadOnlyList<Meter> _meters;

    private DeviceScope(IReadOnlyList<Rig> rigs, ILookup<Id<Rig>, Stage> stages, IReadOnlyList<Meter> meters)
    {
        _rigs = rigs;
        _stages = stages;
        _meters = meters;
    }

    /// <summary>Changes whenever a rig, stage or meter is written.</summary>
    public static async Task<long> StampAsync(LogbookContext context, CancellationToken cancel) =>
        Math.Max(
            await context.Set<Rig>().MaxAsync(r => (long?)r.EditNumber, cancel) ?? 0,
            Math.Max(
                await context.Set<Stage>().MaxAsync(s => (long?)s.EditNumber, cancel) ?? 0,
                await context.Set<Meter>().MaxAsync(m => (long?)m.EditNumber, cancel) ?? 0
            )
        );

    /// <summary>Adds the scopes of those devices that have none there yet, all of them by three questions to the database.</summary>
    public static async Task LoadAsync(
        LogbookContext context,
        IReadOnlyList<Device> devices,
        Dictionary<Guid, DeviceScope> scopes,
        CancellationToken cancel
    )
    {
        List<Device> wanted = [.. devices.Where(d => !scopes.ContainsKey(d.Id)).DistinctBy(d => d.Id)];
        if (wanted.Count == 0)
        {
            return;
        }

        List<Id<Rig>> named = [.. wanted.Select(d => d.RigId).OfType<Id<Rig>>().Distinct()];
        List<Id<Organisation>?> gateways =
        [
            .. wanted.Where(d => d.RigId is null).Select(d => d.OrganisationId).Distinct(),
        ];
        bool anyOfNobody = gateways.Remove(null);
        List<Rig> rigs = await context
            .Live<Rig>()
            .Where(r =>
                named.Contains(r.Id)
                || gateways.Contains(r.OrganisationId)
                || (anyOfNobody && r.OrganisationId == null)
            )
            .ToListAsync(cancel);
        List<Id<Rig>> ids = [.. rigs.Select(r => r.Id)];
        List<Stage> stages = await context
            .Live<Stage>()
            .Where(s => ids.Contains(s.RigId))
            .ToListAsync(cancel);
        List<Meter> meters = await context.Live<Meter>().ToListAsync(cancel);
        ILookup<Id<Rig>, Stage> stagesOf = stages.ToLookup(s => s.RigId);
        ILookup<Id<Rig>, Rig> byId = rigs.ToLookup(r => r.Id);
        ILookup<Id<Organisation>?, Rig> byOwner = rigs.ToLookup(r => r.OrganisationId);
        foreach (Device device in wanted)
        {
            scopes.Add(
                device.Id,
                new DeviceScope(
                    [.. device.RigId is { } rig ? byId[rig] : byOwner[device.OrganisationId]],
                    stagesOf,
                    meters
                )
            );
        }
    }

    public Rig? FindRig(string? name, ProblemList problems) =>
        name is null && _rigs.Count == 1
            ? _rigs[0]
            : Find(
                _rigs,
                r => r.Name,
                "rig",
                name ?? "",
                () => Sentence.Of("a rig of this device"),
                problems
            );

    public Stage? FindStage(Rig rig, string name, ProblemList problems) =>
        Find(
            [.. _stages[rig.Id]],
            s => s.Name,
            "stage",
            name,
            () => Sentence.Of($"a stage of {rig.Name}"),
            problems
        );

    public Meter? FindMeter(string name, ProblemList problems) =>
        Find(_meters, m => m.Name, "meter", name, () => Sentence.Of("a meter"), problems);

    private static T? Find<T>(
        IReadOnlyList<T> all,
        Func<T, string> nameOf,
        string place,
        string name,
        Func<Sentence> what,
        ProblemList problems
    )
        where T : Entry
    {
        List<T> found = Guid.TryParse(name, out Guid id)
            ? [.. all.Where(e => e.Key == id)]
            : [.. all.Where(e => string.Equals(nameOf(e), name, StringComparison.OrdinalIgnoreCase))];
        if (found.Count == 1)
        {
            return found[0];
        }

        Sentence known =
            all.Count == 0
                ? Sentence.Of("there is none")
                : Sentence.Written(string.Join(", ", all.Select(nameOf).Take(12)));
        problems.Add(
            place,
            name,
            found.Count == 0
                ? Sentence.Of($"{what()} ({known})")
                : Sentence.Of($"{what()} with a name of its own")
        );
        return null;
    }
}
