using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.Operations;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Alarms;

/// <summary>Tells which rigs something was written of since it was last asked; at first, all.</summary>
internal sealed class ChangedRigs([FromKeyedServices(PeopleHosting.Whole)] LogbookStore store)
{
    /// <summary>Of edits that are written at once the later may be seen first, so that the last few are looked at again (our choice).</summary>
    private const int Overlap = 20;

    private long? _until;

    public async Task<IReadOnlyCollection<Id<Rig>>> NextAsync(CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        long newest = await context.Edits.MaxAsync(e => (long?)e.Number, cancel) ?? 0;
        HashSet<Id<Rig>> changed;
        if (_until is not { } until)
        {
            changed = [.. await context.Live<Rig>().Select(r => r.Id).ToListAsync(cancel)];
        }
        else if (until == newest)
        {
            return [];
        }
        else
        {
            long from = until - Overlap;
            changed =
            [
                .. await context
                    .Set<Reading>()
                    .Where(r => r.EditNumber > from)
                    .Select(r => r.RigId)
                    .Concat(context.Set<KeptForecast>().Where(f => f.EditNumber > from).Select(f => f.RigId))
                    .Concat(context.Set<Stage>().Where(s => s.EditNumber > from).Select(s => s.RigId))
                    .Concat(context.Set<Rig>().Where(r => r.EditNumber > from).Select(r => r.Id))
                    .Concat(
                        context
                            .Set<Fill>()
                            .Where(f => f.EditNumber > from)
                            .Join(context.Set<Stage>(), f => f.StageId, s => s.Id, (f, s) => s.RigId)
                    )
                    .Distinct()
                    .ToListAsync(cancel),
            ];
        }

        _until = newest;
        return changed;
    }
}

/// <summary>What a host does that shares its work with nobody: looks at what changed, and at the devices.</summary>
internal sealed class AlarmRound(
    ChangedRigs changed,
    RigAlarms rigs,
    DeviceAlarms devices,
    ServeOptions options,
    ILogger<AlarmRound> log
) : RepeatedWork(options.Alarms.LookEvery, options.Clock, log)
{
    private readonly HashSet<Id<Rig>> _left = [];

    protected override string Later => "Alarms are looked for again later";

    protected override async Task TurnAsync(CancellationToken cancel)
    {
        _left.UnionWith(await changed.NextAsync(cancel));
        // What is wrong with one rig must not keep anybody from looking at the others.
        List<Exception> wrong = [];
        foreach (Id<Rig> rig in _left.ToList())
        {
            try
            {
                await rigs.LookAsync(rig, cancel);
                _left.Remove(rig);
            }
            catch (Exception problem)
                when (problem
                        is not (OperationCanceledException or IOException or System.Data.Common.DbException)
                )
            {
                wrong.Add(problem);
            }
        }

        await devices.LookAsync(cancel);
        if (wrong.Count > 0)
        {
            throw new AggregateException(wrong);
        }
    }
}
