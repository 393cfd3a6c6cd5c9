using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Web.Operations;

/// <summary>Says in the log when the program began to serve and how it ended.</summary>
internal sealed partial class Lifecycle(ServeOptions options, ILogger<Lifecycle> log)
    : IHostedLifecycleService
{
    private readonly string _version = typeof(Lifecycle).Assembly.GetName().Version!.ToString(3);
    private readonly string _record = options.Address.ToString();

    public Task StartingAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StartAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StartedAsync(CancellationToken cancellationToken)
    {
        LogServing(_version, _record);
        return Task.CompletedTask;
    }

    public Task StoppingAsync(CancellationToken cancellationToken)
    {
        LogStopping((int)options.Drain.TotalSeconds);
        return Task.CompletedTask;
    }

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StoppedAsync(CancellationToken cancellationToken)
    {
        if (cancellationToken.IsCancellationRequested)
        {
            LogCut();
        }
        else
        {
            LogStopped();
        }

        return Task.CompletedTask;
    }

    [LoggerMessage(Level = LogLevel.Information, Message = "Version {Version} serves the record in {Record}")]
    private partial void LogServing(string version, string record);

    [LoggerMessage(
        Level = LogLevel.Information,
        Message = "Stopping: what is under way has {Seconds} s to end"
    )]
    private partial void LogStopping(int seconds);

    [LoggerMessage(Level = LogLevel.Information, Message = "Stopped; everything under way was answered")]
    private partial void LogStopped();

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "Stopped; requests that were still under way were cut off. What was answered is kept"
    )]
    private partial void LogCut();
}
