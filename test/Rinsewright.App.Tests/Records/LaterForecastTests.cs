using Microsoft.EntityFrameworkCore;
using Rinsewright.App.Tests.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;
using Rig = Rinsewright.Records.Logbook.Rig;

namespace Rinsewright.App.Tests.Records;

/// <summary>Forecasts that go on from the last one when a reading comes.</summary>
public sealed class LaterForecastTests
{
    private const int Members = 600;
    private static readonly LifeLibraries Libraries = new();
    private static readonly ChangeOutLine Line = new("10 ppm", LineKind.MeterReading, 10);

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task A_reading_more_tells_what_a_forecast_from_nothing_would_say()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        await using LogbookStore store = await LogbookStore.OpenAsync(
            StoreAddress.InFolder(home.Record),
            TimeProvider.System,
            Stop
        );
        await using LogbookContext context = store.Read();
        (Id<Rig> rig, Reading reading) = await LateOutletAsync(context);
        DateTimeOffset before = reading.At.AddMinutes(-1);
        DateTimeOffset after = reading.At.AddMinutes(1);
        RigForecast first = Of(await HistoryAsync(context, rig, before), before);
        RigHistory history = await HistoryAsync(context, rig, after);
        RigForecast later = first.After(history, after)!;
        RigForecast anew = Of(history, after);
        Assert.Equal(first.Case.Readings.Length + 1, later.Case.Readings.Length);
        Assert.Equal(anew.Case.Readings, later.Case.Readings);
        Band now = later.Answers.To(Line, 0.5).Liters;
        Band same = anew.Answers.To(Line, 0.5).Liters;
        double width = same.P95 - same.P05;
        Assert.InRange(now.Median, same.Median - 0.1 * width, same.Median + 0.1 * width);
        Assert.InRange(now.P95 - now.P05, 0.8 * width, 1.25 * width);
    }

    [Fact]
    public async Task Whatever_else_was_written_asks_for_a_forecast_from_nothing()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        await using LogbookStore store = await LogbookStore.OpenAsync(
            StoreAddress.InFolder(home.Record),
            TimeProvider.System,
            Stop
        );
        await using LogbookContext context = store.Read();
        (Id<Rig> rig, Reading reading) = await LateOutletAsync(context);
        DateTimeOffset before = reading.At.AddMinutes(-1);
        RigHistory history = await HistoryAsync(context, rig, before);
        RigForecast first = Of(history, before);
        Assert.NotNull(first.After(history, before.AddMinutes(2)));
        Assert.Null(first.After(history, before.AddMinutes(-2)));
        Assert.Null(first.After(history, before.AddDays(2)));
        Draw earlier = history.Draws[^1];
        RigHistory corrected = history with
        {
            Draws = [.. history.Draws.SkipLast(1), earlier with { EditNumber = earlier.EditNumber + 1 }],
        };
        Assert.Null(first.After(corrected, before.AddMinutes(2)));
    }

    private static RigForecast Of(RigHistory history, DateTimeOffset at)
    {
        RigForecast? forecast = RigForecast.Of(
            history,
            at,
            Members,
            seed: 1,
            out IReadOnlyList<InputProblem> problems,
            Libraries
        );
        Assert.Empty(problems);
        return forecast!;
    }

    private static async Task<RigHistory> HistoryAsync(
        LogbookContext context,
        Id<Rig> rig,
        DateTimeOffset until
    ) => (await RigHistory.LoadAsync(context, rig, until, Stop))!;

    /// <summary>The last reading behind the bed of the first van at which a meter shows more than nothing.</summary>
    private static async Task<(Id<Rig> Rig, Reading Reading)> LateOutletAsync(LogbookContext context)
    {
        Rig rig = await context.Live<Rig>().SingleAsync(r => r.Name == "Van 1", Stop);
        List<Reading> readings = await context
            .Live<Reading>()
            .Where(r =>
                r.RigId == rig.Id && r.Place == Place.Outlet && r.Measurand == Measurand.DissolvedSolids
            )
            .OrderBy(r => r.At)
            .ToListAsync(Stop);
        return (rig.Id, readings.Last(r => r.Value_SI >= 0.001));
    }
}
