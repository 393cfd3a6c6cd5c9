using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Rinsewright.Records.Fleet;
using Rinsewright.Records.Storage;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Fleet;

/// <summary>Keeps the board of all rigs up to date with what is written, here or elsewhere.</summary>
internal sealed partial class FleetFollowing(
    [FromKeyedServices(PeopleHosting.Whole)] LogbookStore store,
    ILogger<FleetFollowing> log
) : BackgroundService
{
    private static readonly TimeSpan Every = TimeSpan.FromSeconds(2);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        var board = new FleetBoard(store);
        // How often it looks has nothing to do with the time that the record is read at.
        using var timer = new PeriodicTimer(Every, TimeProvider.System);
        try
        {
            do
            {
                await FollowAsync(board, stoppingToken);
            } while (await timer.WaitForNextTickAsync(stoppingToken));
        }
        catch (OperationCanceledException)
        {
            // The program is stopped.
        }
    }

    private async Task FollowAsync(FleetBoard board, CancellationToken cancel)
    {
        try
        {
            await board.FollowAsync(cancel);
        }
        catch (Exception problem) when (problem is not OperationCanceledException)
        {
            LogLater(problem.Message);
        }
    }

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "The board of all rigs is brought up to date later: {Reason}"
    )]
    private partial void LogLater(string reason);
}
