using System.Diagnostics.Metrics;
using Microsoft.Extensions.Logging;
using Rinsewright.Records.Alarms;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.Operations;

namespace Rinsewright.Web.Alarms;

/// <summary>Sends what waits in the outbox; each machine of a cluster does, and no two the same message at a time.</summary>
internal sealed partial class AlarmSender(
    AlarmOutbox outbox,
    IEnumerable<IAlarmRoute> routes,
    AlarmMeter meter,
    ServeOptions options,
    ILogger<AlarmSender> log
) : RepeatedWork(options.Alarms.SendEvery, options.Clock, log)
{
    private const int Together = 8;

    // Well below the claim, so that nobody else takes a message that is being sent.
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(30);

    private readonly Dictionary<DeliveryRoute, IAlarmRoute> _routes = routes.ToDictionary(r => r.Route);

    protected override string Later => "Alarms are sent later";

    protected override async Task TurnAsync(CancellationToken cancel)
    {
        IReadOnlyList<DueMessage> taken;
        do
        {
            taken = await outbox.TakeAsync(Together, cancel);
            await Task.WhenAll(taken.Select(m => SendAsync(m, cancel)));
        } while (taken.Count == Together);
    }

    private async Task SendAsync(DueMessage message, CancellationToken stop)
    {
        string route = AlarmDesk.WordOf(message.Destination.Route);
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(stop);
        limit.CancelAfter(Patience);
        string problem;
        try
        {
            await _routes[message.Destination.Route].SendAsync(message, limit.Token);
            await outbox.SentAsync(message, CancellationToken.None);
            meter.Count(route, "sent");
            return;
        }
        catch (OperationCanceledException) when (!stop.IsCancellationRequested)
        {
            problem = "It takes longer than 30 s.";
        }
        catch (Exception reason) when (reason is not OperationCanceledException)
        {
            problem = reason.Message;
        }

        await outbox.FailedAsync(message, problem, CancellationToken.None);
        meter.Count(route, "failed");
        LogNotSent(message.Destination.Name, route, problem);
    }

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "An alarm could not be sent to {Name} by {Route}, and is tried again: {Reason}"
    )]
    private partial void LogNotSent(string name, string route, string reason);
}

/// <summary>What is counted of messages, for whoever listens.</summary>
internal sealed class AlarmMeter : IDisposable
{
    public const string Name = "Rinsewright.Alarms";

    private readonly Meter _meter;
    private readonly Counter<long> _messages;

    public AlarmMeter()
    {
        _meter = new Meter(Name, version: null, tags: null, this);
        _messages = _meter.CreateCounter<long>(
            "rinsewright.alarms.messages",
            "{try}",
            "Tries to send a message, by route and by what came of it."
        );
    }

    public void Count(string route, string outcome) =>
        _messages.Add(1, new("route", route), new("outcome", outcome));

    public void Dispose() => _meter.Dispose();
}
