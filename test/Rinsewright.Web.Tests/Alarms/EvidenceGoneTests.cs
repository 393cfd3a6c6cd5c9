using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Tests.Alarms;

/// <summary>Alarms whose reason is no longer in the record.</summary>
public sealed class EvidenceGoneTests
{
    private static readonly TimeSpan Minute = TimeSpan.FromMinutes(1);

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task It_is_over_when_the_reading_that_raised_it_is_taken_back()
    {
        await using AlarmSite site = await AlarmSite.StartAsync();
        site.Clock.Advance(Minute);
        await site.WriteAsync(site.Read(14));
        await site.UntilAsync(async () => await site.OpenAsync(AlarmKind.Line) is not null, Minute);
        await using (LogbookContext context = site.Store.Read())
        {
            Reading reading = await context.Live<Reading>().SingleAsync(Stop);
            Assert.Empty((await site.Store.DeleteAsync(new EditDraft("Ana"), reading, Stop)).Problems);
        }

        await site.UntilAsync(async () => await site.OpenAsync(AlarmKind.Line) is null, Minute);
    }
}
