using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Localization;
using Microsoft.Extensions.Time.Testing;
using Rinsewright.Handouts.Lives;
using Rinsewright.Records.Demo;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.Logging;
using Rinsewright.Web.People;
using HousingCatalog = Rinsewright.Treatment.HousingCatalog;

namespace Rinsewright.Web.Tests;

/// <summary>The pages over a record of their own, on any free port of this machine.</summary>
internal sealed class Site : IAsyncDisposable
{
    /// <summary>The last day of the demonstration's story.</summary>
    public static readonly DateOnly LastDay = new(2027, 3, 1);

    private static readonly SimulatedLives Simulated = new();
    private readonly string _folder;
    private readonly WebApplication _app;

    private Site(string folder, WebApplication app, FakeTimeProvider clock, StringWriter log)
    {
        _folder = folder;
        _app = app;
        Clock = clock;
        Log = log;
        Address = WebHost.AddressOf(app);
        Http = new HttpClient { BaseAddress = Address, Timeout = Timeout.InfiniteTimeSpan };
    }

    public Uri Address { get; }

    public HttpClient Http { get; }

    public FakeTimeProvider Clock { get; }

    /// <summary>What the host had to complain of.</summary>
    public StringWriter Log { get; }

    /// <summary>The lines of it, apart from the server's own that this machine stood still for a while.</summary>
    public IReadOnlyList<string> Complaints => ComplaintsIn(Log);

    public LogbookStore Store => _app.Services.WholeRecord();

    /// <summary>Every address that the host answers at.</summary>
    public IReadOnlyList<Endpoint> Endpoints =>
        [.. ((IEndpointRouteBuilder)_app).DataSources.SelectMany(s => s.Endpoints)];

    /// <summary>Keeps one rig as the first page would; returns the id of its bed's stage.</summary>
    public async Task<Guid> FirstRigAsync()
    {
        WriteOutcome outcome = await new FirstRig(Store).WriteAsync(
            "Garage",
            HousingCatalog.All[5],
            new WaterStatement { Reading = "150" },
            [],
            "Europe/Vienna",
            TestContext.Current.CancellationToken
        );
        Assert.Empty(outcome.Problems);
        await using LogbookContext context = Store.Read();
        return (await context.Live<Stage>().SingleAsync(TestContext.Current.CancellationToken)).Id.Value;
    }

    /// <summary>Adds a device that reports on a rig; returns its key.</summary>
    public async Task<string> AddDeviceAsync(string name, Guid rig)
    {
        (AddedDevice? added, _) = await new DeviceRegister(Store).AddAsync(
            new DeviceDraft(name, new Id<Rig>(rig), null) { PulsesPerLiter = 10 },
            TestContext.Current.CancellationToken
        );
        return added!.Key;
    }

    public static Task<Site> EmptyAsync(
        string? passphrase = null,
        bool isYourWaterOpen = false,
        PublicSite? named = null
    ) => StartAsync(fill: false, passphrase, isYourWaterOpen, named);

    /// <summary>The demonstration: four rigs, two years.</summary>
    public static Task<Site> DemoAsync(IStringLocalizer<Texts>? texts = null) =>
        StartAsync(fill: true, passphrase: null, isYourWaterOpen: false, named: null, texts);

    public async ValueTask DisposeAsync()
    {
        Http.Dispose();
        await _app.DisposeAsync();
        SqliteConnection.ClearAllPools();
        Directory.Delete(_folder, recursive: true);
    }

    internal static IReadOnlyList<string> ComplaintsIn(StringWriter log) =>
        [
            .. log.ToString()
                .Split('\n', StringSplitOptions.RemoveEmptyEntries)
                .Where(l => !l.Contains("the heartbeat has been running for", StringComparison.Ordinal)),
        ];

    private static async Task<Site> StartAsync(
        bool fill,
        string? passphrase,
        bool isYourWaterOpen,
        PublicSite? named,
        IStringLocalizer<Texts>? texts = null
    )
    {
        string folder = Directory.CreateTempSubdirectory("rinsewright-web-").FullName;
        var address = StoreAddress.InFolder(folder);
        if (fill)
        {
            Assert.Empty(await TwoVans.FillAsync(address, 1, LastDay));
        }

        var clock = new FakeTimeProvider(new DateTimeOffset(LastDay, new TimeOnly(9, 0), TimeSpan.Zero));
        var log = new StringWriter();
        WebApplication app = await WebHost.StartAsync(
            new ServeOptions
            {
                Address = address,
                Clock = clock,
                Port = 0,
                Passphrase = passphrase,
                IsYourWaterOpen = isYourWaterOpen,
                Public = named,
                Log = log,
                Simulated = Simulated,
                Texts = texts,
            },
            TestContext.Current.CancellationToken
        );
        return new Site(folder, app, clock, log);
    }
}
