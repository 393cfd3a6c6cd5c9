using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Rinsewright.Records.Storage;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Operations;

/// <summary>Makes the day's backup of a record that is open for longer than a day.</summary>
internal sealed class DailyBackup(
    [FromKeyedServices(PeopleHosting.Whole)] LogbookStore store,
    ILogger<DailyBackup> log
) : RepeatedWork(TimeSpan.FromHours(1), store.Clock, log)
{
    protected override string Later => "The day's backup is made later";

    protected override bool BeginsAtOnce => false;

    protected override Task TurnAsync(CancellationToken cancel) => store.Backups!.MakeIfDueAsync(cancel);
}
