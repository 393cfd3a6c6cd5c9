using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Devices;

/// <summary>Makes entries of what devices streamed, as soon as it is due.</summary>
internal sealed partial class Reducing(Inbox inbox, TimeProvider clock, ILogger<Reducing> log)
    : BackgroundService
{
    private static readonly TimeSpan Every = TimeSpan.FromSeconds(20);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        try
        {
            while (true)
            {
                await ReduceAsync(stoppingToken);
                await Task.Delay(Every, clock, stoppingToken);
            }
        }
        catch (OperationCanceledException)
        {
            // The program is stopped.
        }
    }

    private async Task ReduceAsync(CancellationToken cancel)
    {
        try
        {
            await inbox.ReduceAsync(cancel);
        }
        catch (RecordUnavailableException problem)
        {
            // Nothing is lost: the rows are kept, and it is tried again.
            LogLater(problem.Message);
        }
    }

    [LoggerMessage(Level = LogLevel.Warning, Message = "What devices streamed is condensed later: {Reason}")]
    private partial void LogLater(string reason);
}
