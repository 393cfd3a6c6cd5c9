using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace Rinsewright.Web.Operations;

/// <summary>
/// Work that comes round again and again while the program serves. What goes wrong in one turn is told, and the next comes all the same; turns
/// that a clock has skipped are not made up for.
/// </summary>
/// <param name="every">How long after a turn the next begins.</param>
/// <param name="clock">What time it goes by.</param>
/// <param name="log">Told what went wrong.</param>
internal abstract partial class RepeatedWork(TimeSpan every, TimeProvider clock, ILogger log)
    : BackgroundService
{
    /// <summary>What happens after a turn that went wrong, in words: <c>The day's forecasts are made later</c>.</summary>
    protected abstract string Later { get; }

    /// <summary>Whether the first turn comes at once.</summary>
    protected virtual bool BeginsAtOnce => true;

    protected abstract Task TurnAsync(CancellationToken cancel);

    protected sealed override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        try
        {
            if (!BeginsAtOnce)
            {
                await Task.Delay(every, clock, stoppingToken);
            }

            while (true)
            {
                await TryAsync(stoppingToken);
                await Task.Delay(every, clock, stoppingToken);
            }
        }
        catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
        {
            // The program is stopped.
        }
    }

    private async Task TryAsync(CancellationToken cancel)
    {
        try
        {
            await TurnAsync(cancel);
        }
        catch (Exception problem) when (!cancel.IsCancellationRequested)
        {
            LogLater(problem, Later, problem.Message);
        }
    }

    [LoggerMessage(Level = LogLevel.Warning, Message = "{Later}: {Reason}")]
    private partial void LogLater(Exception problem, string later, string reason);
}
