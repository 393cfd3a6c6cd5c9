using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Rinsewright.Records.Storage;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Operations;

/// <summary>Makes the day's backup of a record that is open for longer than a day.</summary>
internal sealed partial class DailyBackup(
    [FromKeyedServices(PeopleHosting.Whole)] LogbookStore store,
    ILogger<DailyBackup> log
) : BackgroundService
{
    private static readonly TimeSpan Every = TimeSpan.FromHours(1);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Every, store.Clock);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken))
            {
                await MakeAsync(stoppingToken);
            }
        }
        catch (OperationCanceledException)
        {
            // The program is stopped.
        }
    }

    private async Task MakeAsync(CancellationToken cancel)
    {
        try
        {
            await store.Backups!.MakeIfDueAsync(cancel);
        }
        catch (Exception problem) when (problem is IOException or System.Data.Common.DbException)
        {
            // The record itself is untouched, and it is tried again in an hour.
            LogNotMade(problem, problem.Message);
        }
    }

    [LoggerMessage(Level = LogLevel.Error, Message = "The day's backup could not be made: {Why}")]
    private partial void LogNotMade(Exception problem, string why);
}
