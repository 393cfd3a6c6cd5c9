using Microsoft.EntityFrameworkCore;
using Npgsql;
using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Access;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Serving;

/// <summary>Rigs that can be forecast, whose last reading is past the line; alarms of them go to a server that is not there.</summary>
internal sealed class ForecastRigs
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(6);

    private readonly LogbookStore _store;
    private readonly List<Rig> _rigs = [];
    private readonly List<Stage> _beds = [];

    private ForecastRigs(LogbookStore store) => _store = store;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public static async Task<ForecastRigs> AddAsync(LogbookStore store, int count)
    {
        var rigs = new ForecastRigs(store);
        DateTimeOffset now = store.Clock.GetUtcNow();
        for (int i = 1; i <= count; i++)
        {
            var rig = new Rig { Id = store.Ids.Next<Rig>(), Name = $"Rig {i}" };
            var bed = new Stage
            {
                Id = store.Ids.Next<Stage>(),
                RigId = rig.Id,
                Name = "Bed",
                Position = 1,
                Kind = StageKind.MixedBed,
                Volume_m3 = 0.01,
            };
            var fill = new Fill
            {
                Id = store.Ids.Next<Fill>(),
                StageId = bed.Id,
                Medium = "mixed bed",
                Volume_m3 = 0.01,
                PutInAt = now.AddDays(-30),
            };
            rigs._rigs.Add(rig);
            rigs._beds.Add(bed);
            await rigs.WriteAsync(
                rig,
                bed,
                fill,
                rigs.Reading(rig, null, 150, now.AddDays(-29)),
                rigs.Reading(rig, bed, 14, now.AddMinutes(-1))
            );
        }

        (AlarmDestination? added, _, _) = await new AlarmDesk(store).AddAsync(
            new DestinationDraft("Mira", "mail", "mira@example.org"),
            null,
            new Actor("Ana"),
            Stop
        );
        Assert.NotNull(added);
        return rigs;
    }

    /// <summary>Writes what the meter shows behind each bed now.</summary>
    public Task ReadAsync(double ppm) =>
        WriteAsync([.. _rigs.Zip(_beds, (rig, bed) => Reading(rig, bed, ppm, _store.Clock.GetUtcNow()))]);

    /// <summary>Alarms of a line that are open.</summary>
    public async Task<int> OpenAsync() =>
        (await AlarmsAsync()).Count(a => a.Alarm is { Kind: AlarmKind.Line, ClearedAt: null });

    /// <summary>Rigs whose forecast was kept.</summary>
    public async Task<int> ForecastAsync()
    {
        await using LogbookContext context = _store.Read();
        return await context.Live<KeptForecast>().Select(f => f.RigId).Distinct().CountAsync(Stop);
    }

    /// <summary>Rigs that somebody will be woken to forecast.</summary>
    public async Task<long> WokenAsync()
    {
        await using NpgsqlDataSource database = NpgsqlDataSource.Create(_store.Address.ConnectionString!);
        await using NpgsqlCommand count = database.CreateCommand(
            "SELECT count(*) FROM cluster_reminder WHERE name = 'forecast'"
        );
        return (long)(await count.ExecuteScalarAsync(Stop))!;
    }

    public async Task UntilAsync(Func<Task<bool>> holds)
    {
        using var limit = new CancellationTokenSource(Patience);
        while (!await holds())
        {
            await Task.Delay(TimeSpan.FromMilliseconds(200), TimeProvider.System, limit.Token);
        }
    }

    /// <summary>Each matter was raised once, told once, ended once; each rig has one forecast of the day.</summary>
    public async Task CheckAsync()
    {
        Alarm[] line = [.. (await AlarmsAsync()).Select(a => a.Alarm).Where(a => a.Kind is AlarmKind.Line)];
        Assert.Equal(_rigs.Select(r => r.Id.Value).Order(), line.Select(a => a.RigId!.Value.Value).Order());
        Guid[] ids = [.. line.Select(a => a.Id)];
        await using LogbookContext context = _store.Read();
        List<AlarmPart> told = await context
            .Set<AlarmPart>()
            .Where(p => ids.Contains(p.AlarmId))
            .ToListAsync(Stop);
        Assert.Equal(
            (_rigs.Count, _rigs.Count),
            (told.Count(p => !p.IsCleared), told.Count(p => p.IsCleared))
        );
        var forecasts = await context
            .Live<KeptForecast>()
            .GroupBy(f => new
            {
                f.RigId,
                f.Line,
                f.At.Date,
            })
            .Select(g => g.Count())
            .ToListAsync(Stop);
        Assert.All(forecasts, count => Assert.Equal(1, count));
    }

    private Task<IReadOnlyList<NamedAlarm>> AlarmsAsync() =>
        new AlarmBook(_store).ListAsync(isOpenOnly: false, 1000, Stop);

    private async Task WriteAsync(params Entry[] entries) =>
        Assert.Empty((await _store.WriteAsync(TestRecord.Draft, entries, Stop)).Problems);

    private Reading Reading(Rig rig, Stage? bed, double ppm, DateTimeOffset at) =>
        new()
        {
            Id = _store.Ids.Next<Reading>(),
            RigId = rig.Id,
            Place = bed is null ? Place.Source : Place.Outlet,
            StageId = bed?.Id,
            At = at,
            Measurand = Measurand.DissolvedSolids,
            Value_SI = ppm / 1000,
            Written = FormattableString.Invariant($"{ppm}"),
            Unit = "ppm",
        };
}
