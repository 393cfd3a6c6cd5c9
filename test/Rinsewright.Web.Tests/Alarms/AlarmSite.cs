using Microsoft.AspNetCore.Builder;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using Rinsewright.Quantities;
using Rinsewright.Records.Access;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Alarms;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Tests.Alarms;

/// <summary>A host over a record with one rig, which can be stopped and started again, and whose clock the test moves.</summary>
internal sealed class AlarmSite : IAsyncDisposable
{
    public static readonly DateTimeOffset Start = new(2027, 3, 1, 9, 0, 0, TimeSpan.Zero);
    private static readonly Actor Ana = new("Ana");

    private readonly string _folder = Directory.CreateTempSubdirectory("rinsewright-alarms-").FullName;
    private WebApplication? _app;

    public FakeTimeProvider Clock { get; } = new(Start);

    /// <summary>What every host of it had to complain of.</summary>
    public StringWriter Log { get; } = new();

    /// <summary>The lines of it, apart from the server's own that this machine stood still for a while.</summary>
    public IReadOnlyList<string> Complaints => Site.ComplaintsIn(Log);

    public Rig Rig { get; private set; } = null!;

    public Stage Bed { get; private set; } = null!;

    public Fill Fill { get; private set; } = null!;

    public Uri Address => WebHost.AddressOf(_app!);

    public LogbookStore Store => _app!.Services.WholeRecord();

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public static async Task<AlarmSite> StartAsync(Func<ServeOptions, ServeOptions>? with = null)
    {
        var site = new AlarmSite();
        await site.ServeAsync(with);
        // Of its water nothing is known, so that its bed need not be run.
        IdSource ids = site.Store.Ids;
        site.Rig = new Rig
        {
            Id = ids.Next<Rig>(),
            Name = "Garage",
            TimeZone = "Europe/Vienna",
        };
        site.Bed = new Stage
        {
            Id = ids.Next<Stage>(),
            RigId = site.Rig.Id,
            Name = "Bed",
            Position = 1,
            Kind = StageKind.MixedBed,
            Volume_m3 = 0.01,
            ChangeOutLine_S_m = 0.002,
        };
        var fill = new Fill
        {
            Id = ids.Next<Fill>(),
            StageId = site.Bed.Id,
            Medium = "mixed bed",
            Volume_m3 = 0.01,
            PutInAt = Start.AddDays(-90),
        };
        await site.WriteAsync(site.Rig, site.Bed, fill);
        site.Fill = fill with { Version = 1 };
        return site;
    }

    public async Task ServeAsync(Func<ServeOptions, ServeOptions>? with = null)
    {
        var options = new ServeOptions
        {
            Address = StoreAddress.InFolder(_folder),
            Clock = Clock,
            Port = 0,
            Log = Log,
        };
        _app = await WebHost.StartAsync(with?.Invoke(options) ?? options, Stop);
    }

    public async Task StopAsync()
    {
        await _app!.StopAsync(Stop);
        await _app.DisposeAsync();
        _app = null;
    }

    /// <summary>Lets alarms go somewhere; returns where, and the secret of its signatures.</summary>
    public async Task<(AlarmDestination Destination, string? Secret)> GoesToAsync(DestinationDraft draft)
    {
        (AlarmDestination? added, string? secret, IReadOnlyList<InputProblem> problems) = await new AlarmDesk(
            Store
        ).AddAsync(draft, null, Ana, Stop);
        Assert.Empty(problems);
        return (added!, secret);
    }

    /// <summary>Raises an alarm of the raw water, of which too little is written to find anything, or ends it.</summary>
    public Task RaiseAsync(bool isUrgent = false, bool isOver = false) =>
        new AlarmBook(Store).ApplyAsync(
            [
                new Finding(
                    new AlarmPlace(Rig.OrganisationId, Rig.Id, null),
                    AlarmKind.Feed,
                    Rig.Id.Value,
                    Seen: 420,
                    Limit: 250,
                    "µS/cm",
                    isUrgent,
                    IsPast: !isOver,
                    isOver
                ),
            ],
            Stop
        );

    public async Task<Alarm?> OpenAsync(AlarmKind kind) =>
        (await new AlarmBook(Store).ListAsync(isOpenOnly: true, 100, Stop))
            .Select(a => a.Alarm)
            .FirstOrDefault(a => a.Kind == kind);

    public async Task<DestinationState> StateAsync() => (await new AlarmOutbox(Store).StatesAsync(Stop))[0];

    public async Task WriteAsync(params Entry[] entries) =>
        Assert.Empty((await Store.WriteAsync(new EditDraft("Ana"), entries, Stop)).Problems);

    public Reading Read(double ppm, Place place = Place.Outlet, double daysAgo = 0) =>
        new()
        {
            Id = Store.Ids.Next<Reading>(),
            RigId = Rig.Id,
            Place = place,
            StageId = place is Place.Outlet ? Bed.Id : null,
            At = Clock.GetUtcNow().AddDays(-daysAgo),
            Measurand = Measurand.DissolvedSolids,
            Value_SI = ppm / 1000,
            Written = FormattableString.Invariant($"{ppm}"),
            Unit = "ppm",
        };

    /// <summary>Lets time pass on the host's clock until something holds.</summary>
    public Task UntilAsync(Func<Task<bool>> holds, TimeSpan? step = null) =>
        Until.HoldsAsync(holds, () => Clock.Advance(step ?? TimeSpan.FromSeconds(5)), Log.ToString);

    /// <summary>Looks at the rig as the program does from time to time.</summary>
    public Task LookAsync() => _app!.Services.GetRequiredService<RigAlarms>().LookAsync(Rig.Id, Stop);

    public async ValueTask DisposeAsync()
    {
        if (_app is not null)
        {
            await StopAsync();
        }

        SqliteConnection.ClearAllPools();
        Directory.Delete(_folder, recursive: true);
    }
}
