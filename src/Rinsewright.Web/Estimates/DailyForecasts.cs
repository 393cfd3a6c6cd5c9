using Microsoft.AspNetCore.Builder;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Alarms;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.Operations;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Estimates;

/// <summary>Sees to it that every rig has its forecast of the day in the record, whether anybody looks at it or not.</summary>
internal sealed class DailyForecasts(RigOutlook outlook)
{
    /// <summary>Makes the forecast of a rig, which is kept if it is the first of the day. Whether there is such a rig.</summary>
    /// <exception cref="RecordUnavailableException">The record cannot be read.</exception>
    public async Task<bool> MakeAsync(Id<Rig> rig, CancellationToken cancel) =>
        await outlook.SettledAsync(rig, cancel) is not null;

    /// <summary>What a host does that shares its work with nobody.</summary>
    public static void Alone(WebApplicationBuilder builder)
    {
        builder.Services.AddSingleton<IInbox>(services => services.GetRequiredService<Inbox>());
        builder.Services.AddHostedService<DailyRound>();
        AlarmHosting.LookAlone(builder.Services);
    }
}

/// <summary>Goes through all rigs, one after the other.</summary>
internal sealed class DailyRound(
    [FromKeyedServices(PeopleHosting.Whole)] LogbookStore store,
    DailyForecasts forecasts,
    ServeOptions options,
    ILogger<DailyRound> log
) : RepeatedWork(options.ForecastEvery, store.Clock, log)
{
    protected override string Later => "The day's forecasts are made later";

    protected override bool BeginsAtOnce => false;

    protected override async Task TurnAsync(CancellationToken cancel)
    {
        List<Id<Rig>> rigs;
        await using (LogbookContext context = store.Read())
        {
            rigs = await context.Live<Rig>().Select(r => r.Id).ToListAsync(cancel);
        }

        // What is wrong with one rig must not keep the others from their forecasts.
        List<Exception> wrong = [];
        foreach (Id<Rig> rig in rigs)
        {
            try
            {
                await forecasts.MakeAsync(rig, cancel);
            }
            catch (Exception problem)
                when (problem
                        is not (OperationCanceledException or IOException or System.Data.Common.DbException)
                )
            {
                wrong.Add(problem);
            }
        }

        if (wrong.Count > 0)
        {
            throw new AggregateException(wrong);
        }
    }
}
