using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Orleans.Concurrency;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Alarms;
using Rinsewright.Web.Estimates;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.Operations;
using Rinsewright.Web.People;

namespace Rinsewright.Cluster;

/// <summary>Makes the daily forecast of one rig and owns its alarms, apart from its deliveries, which never wait for one.</summary>
internal interface INightGrain : IGrainWithGuidKey
{
    /// <summary>Sees to it that the rig is forecast from now on, whichever machine is there.</summary>
    Task EnsureAsync();

    /// <summary>Raises and ends the alarms of the rig; does not wait for a forecast that is being made.</summary>
    [AlwaysInterleave]
    Task LookAsync();
}

internal sealed partial class NightGrain(
    DailyForecasts forecasts,
    RigAlarms alarms,
    ServeOptions options,
    ILogger<NightGrain> log
) : Grain, INightGrain, IRemindable
{
    private const string Name = "forecast";

    public async Task EnsureAsync()
    {
        if (await this.GetReminder(Name) is null)
        {
            // Spread over the period, so that ten thousand rigs are not forecast at once.
            double share = (uint)this.GetPrimaryKey().GetHashCode() / (double)uint.MaxValue;
            await this.RegisterOrUpdateReminder(Name, share * options.ForecastEvery, options.ForecastEvery);
        }
    }

    public async Task ReceiveReminder(string reminderName, TickStatus status)
    {
        try
        {
            var rig = new Id<Rig>(this.GetPrimaryKey());
            bool isThere = await forecasts.MakeAsync(rig, CancellationToken.None);
            await alarms.LookAsync(rig, CancellationToken.None);
            if (!isThere && await this.GetReminder(Name) is { } reminder)
            {
                // The rig was deleted.
                await this.UnregisterReminder(reminder);
            }
        }
        catch (RecordUnavailableException problem)
        {
            LogLater(problem.Message);
        }
    }

    public Task LookAsync() => alarms.LookAsync(new Id<Rig>(this.GetPrimaryKey()), CancellationToken.None);

    [LoggerMessage(Level = LogLevel.Warning, Message = "A rig is forecast at its next turn: {Reason}")]
    private partial void LogLater(string reason);
}

/// <summary>Looks for rigs that nobody has seen to yet.</summary>
internal sealed class NightWatch(
    [FromKeyedServices(PeopleHosting.Whole)] LogbookStore store,
    IGrainFactory grains,
    ServeOptions options,
    ILogger<NightWatch> log
) : RepeatedWork(options.ForecastEvery / 24, store.Clock, log)
{
    private readonly HashSet<Guid> _known = [];

    protected override string Later => "Rigs that are new are seen to later";

    protected override async Task TurnAsync(CancellationToken cancel)
    {
        await grains.GetGrain<IAlarmGrain>(0).EnsureAsync().WaitAsync(cancel);
        List<Id<Rig>> rigs;
        await using (LogbookContext context = store.Read())
        {
            rigs = await context.Live<Rig>().Select(r => r.Id).ToListAsync(cancel);
        }

        // A rig that was deleted, and is no longer forecast, may come back.
        _known.IntersectWith(rigs.Select(r => r.Value));
        foreach (Id<Rig> rig in rigs.Where(r => !_known.Contains(r.Value)))
        {
            await grains.GetGrain<INightGrain>(rig.Value).EnsureAsync().WaitAsync(cancel);
            _known.Add(rig.Value);
        }
    }
}
