using Microsoft.Extensions.Logging;
using Rinsewright.Records.Logbook;
using Rinsewright.Web.Alarms;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Cluster;

/// <summary>The one in the cluster who sees which rigs something was written of, and asks each rig's owner to look at it.</summary>
internal interface IAlarmGrain : IGrainWithIntegerKey
{
    /// <summary>Sees to it that somebody looks from now on, whichever machine is there.</summary>
    Task EnsureAsync();
}

internal sealed partial class AlarmGrain(
    ChangedRigs changed,
    DeviceAlarms devices,
    ServeOptions options,
    ILogger<AlarmGrain> log
) : Grain, IAlarmGrain, IRemindable
{
    private const string Name = "alarms";
    private const int Together = 8;

    /// <summary>After so long another machine looks if the one that did is gone; the shortest that reminders know.</summary>
    private static readonly TimeSpan Revival = TimeSpan.FromMinutes(1);

    private readonly HashSet<Id<Rig>> _left = [];

    public override Task OnActivateAsync(CancellationToken cancellationToken)
    {
        this.RegisterGrainTimer(
            LookAsync,
            new GrainTimerCreationOptions(TimeSpan.Zero, options.Alarms.LookEvery) { KeepAlive = true }
        );
        return Task.CompletedTask;
    }

    public async Task EnsureAsync()
    {
        if (await this.GetReminder(Name) is null)
        {
            await this.RegisterOrUpdateReminder(Name, Revival, Revival);
        }
    }

    /// <summary>That it was called is enough: whoever is called is there, and looks.</summary>
    public Task ReceiveReminder(string reminderName, TickStatus status) => Task.CompletedTask;

    private async Task LookAsync(CancellationToken cancel)
    {
        try
        {
            _left.UnionWith(await changed.NextAsync(cancel));
            foreach (Id<Rig>[] some in _left.ToList().Chunk(Together))
            {
                bool[] looked = await Task.WhenAll(some.Select(LookAtAsync));
                if (!looked.Contains(value: true))
                {
                    break;
                }
            }

            await devices.LookAsync(cancel);
        }
        catch (Exception problem) when (problem is not OperationCanceledException)
        {
            // The database is away: what is left is looked at next time.
            LogLater(problem.Message);
        }
    }

    private async Task<bool> LookAtAsync(Id<Rig> rig)
    {
        try
        {
            await GrainFactory.GetGrain<INightGrain>(rig.Value).LookAsync();
            return _left.Remove(rig);
        }
        catch (Exception problem) when (problem is not OperationCanceledException)
        {
            LogLater(problem.Message);
            return false;
        }
    }

    [LoggerMessage(Level = LogLevel.Warning, Message = "Alarms are looked for again later: {Reason}")]
    private partial void LogLater(string reason);
}
