using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Access;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Ingest;

/// <summary>What a new device is to be.</summary>
/// <param name="Name">A name that no other device has.</param>
/// <param name="Rig">The rig it reports on, or</param>
/// <param name="Organisation">the organisation on whose rigs it reports.</param>
public sealed record DeviceDraft(string Name, Id<Rig>? Rig, Id<Organisation>? Organisation)
{
    /// <summary>How long no pulse may come within one draw (our choice).</summary>
    public static readonly TimeSpan UsualPause = TimeSpan.FromMinutes(3);

    /// <summary>How much time of a sampled channel becomes one reading (our choice).</summary>
    public static readonly TimeSpan UsualInterval = TimeSpan.FromHours(1);

    public double? PulsesPerLiter { get; init; }
    public long? CounterSize { get; init; }
    public TimeSpan Pause { get; init; } = UsualPause;
    public TimeSpan Interval { get; init; } = UsualInterval;
}

/// <summary>A device that was added, with its key, which is shown this once.</summary>
public sealed record AddedDevice(Device Device, string Key);

/// <summary>The devices that may report, and their keys.</summary>
public sealed class DeviceRegister(LogbookStore store)
{
    public static readonly TimeSpan ShortestInterval = TimeSpan.FromMinutes(1);
    public static readonly TimeSpan LongestInterval = TimeSpan.FromDays(1);

    /// <summary>Adds a device and makes its key.</summary>
    public async Task<(AddedDevice? Added, IReadOnlyList<InputProblem> Problems)> AddAsync(
        DeviceDraft draft,
        CancellationToken cancel
    )
    {
        var problems = new ProblemList();
        string name = draft.Name.Trim();
        EntryCheck.Text("name", name, problems);
        problems.Require(name.Length is > 0 and <= 100, "name", $"{draft.Name}", "1 to 100 characters");
        problems.Require(
            (draft.Rig is null) != (draft.Organisation is null),
            "scope",
            $"{name}",
            "either a rig or an organisation"
        );
        problems.Require(
            draft.PulsesPerLiter is null or (> 0 and <= 1e6),
            "pulses per litre",
            $"{draft.PulsesPerLiter}",
            "more than 0, at most 1 000 000"
        );
        problems.Require(
            draft.CounterSize is null or >= 256,
            "counter size",
            $"{draft.CounterSize}",
            "256 or more: the count at which it starts again at 0"
        );
        problems.Require(
            draft.Pause >= TimeSpan.FromSeconds(1) && draft.Pause <= TimeSpan.FromHours(1),
            "pause",
            $"{draft.Pause.TotalSeconds} s",
            "1 s to 1 h"
        );
        problems.Require(
            draft.Interval >= ShortestInterval && draft.Interval <= LongestInterval,
            "interval",
            $"{draft.Interval.TotalSeconds} s",
            "1 min to 24 h"
        );
        if (problems.Problems.Count > 0)
        {
            return (null, problems.Problems);
        }

        SecretKey key = SecretKey.New(out string told);
        var device = new Device
        {
            Id = store.Ids.Next(),
            Name = name,
            KeyName = key.Name,
            KeyDigest = key.Digest,
            RigId = draft.Rig,
            OrganisationId = draft.Organisation,
            PulsesPerLiter = draft.PulsesPerLiter,
            CounterSize = draft.CounterSize,
            Pause_s = draft.Pause.TotalSeconds,
            Interval_s = draft.Interval.TotalSeconds,
            AddedAt = Instant.Now(store.Clock),
        };
        bool isNew = await store.TransactAsync(
            async (context, _) =>
            {
                bool isFree = !await context.Set<Device>().AnyAsync(d => d.Name == name, cancel);
                if (isFree)
                {
                    context.Add(device);
                    context.Add(
                        await AuditTrail.OfDeviceAsync(context, device, $"device {name} added", store.Clock)
                    );
                }

                return isFree;
            },
            cancel
        );
        return isNew
            ? (new AddedDevice(device, told), [])
            : (null, [new InputProblem("name", name, "a name that no other device has, revoked ones too")]);
    }

    /// <summary>All devices by name, revoked ones too.</summary>
    public async Task<IReadOnlyList<Device>> ListAsync(CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await context.Set<Device>().AsNoTracking().OrderBy(d => d.Name).ToListAsync(cancel);
    }

    /// <summary>Takes a device's key from it, at once and for good. Whether there was one with that name and a valid key.</summary>
    public Task<bool> RevokeAsync(string name, CancellationToken cancel)
    {
        DateTimeOffset now = Instant.Now(store.Clock);
        return store.TransactAsync(
            async (context, _) =>
            {
                Device? device = await context
                    .Set<Device>()
                    .AsNoTracking()
                    .FirstOrDefaultAsync(d => d.Name == name && d.RevokedAt == null, cancel);
                if (device is null)
                {
                    return false;
                }

                await context
                    .Set<Device>()
                    .Where(d => d.Id == device.Id)
                    .ExecuteUpdateAsync(d => d.SetProperty(x => x.RevokedAt, now), cancel);
                context.Add(
                    await AuditTrail.OfDeviceAsync(context, device, $"device {name} revoked", store.Clock)
                );
                return true;
            },
            cancel
        );
    }

    /// <summary>The device that a key is of; nothing when it is of none or was revoked. The secret is compared in constant time.</summary>
    public async Task<Device?> FindAsync(string? key, CancellationToken cancel)
    {
        if (SecretKey.Read(key) is not { } shown)
        {
            return null;
        }

        await using LogbookContext context = store.Read();
        Device? device = await context
            .Set<Device>()
            .AsNoTracking()
            .FirstOrDefaultAsync(d => d.KeyName == shown.Name, cancel);
        bool isRight = shown.Opens(device?.KeyDigest);
        return isRight && device is { RevokedAt: null } ? device : null;
    }
}
