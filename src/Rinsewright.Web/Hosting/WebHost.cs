using System.IO.Compression;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.HostFiltering;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.ResponseCompression;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Rinsewright.Records.Access;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Alarms;
using Rinsewright.Web.Api;
using Rinsewright.Web.Components;
using Rinsewright.Web.Devices;
using Rinsewright.Web.Estimates;
using Rinsewright.Web.Fleet;
using Rinsewright.Web.Logging;
using Rinsewright.Web.Operations;
using Rinsewright.Web.People;
using Rinsewright.Web.Pictures;
using Rinsewright.Web.Sharing;

namespace Rinsewright.Web.Hosting;

/// <summary>The pages and the HTTP API over one record.</summary>
public static class WebHost
{
    /// <summary>Greatest request that is read; a photograph is the largest thing anyone sends.</summary>
    private const long LargestRequest_bytes = 21_000_000;

    private const int ThreadsForPages = 4;

    /// <summary>Opens the record and starts to serve it. Dispose what is returned to stop.</summary>
    /// <exception cref="RecordUnavailableException">The record cannot be used.</exception>
    /// <exception cref="IOException">The port is taken.</exception>
    public static async Task<WebApplication> StartAsync(ServeOptions options, CancellationToken cancel)
    {
        // Forecasts in the background keep every core busy: pages get threads of their own without waiting for them.
        ThreadPool.GetMinThreads(out int workers, out int ports);
        ThreadPool.SetMinThreads(Math.Max(workers, Environment.ProcessorCount + ThreadsForPages), ports);
        LogbookStore store = await LogbookStore.OpenAsync(options.Address, options.Clock, cancel);
        try
        {
            WebApplication app = Build(options, store);
            await app.StartAsync(cancel);
            if (options.Join is null)
            {
                // The first page is then as quick as the next: what it needs is computed meanwhile.
                _ = Task.Run(() => WarmAsync(app), cancel);
            }

            return app;
        }
        catch
        {
            await store.DisposeAsync();
            throw;
        }
    }

    /// <summary>Whether people sign in to what is served, so that the passphrase opens nothing.</summary>
    public static ValueTask<bool> DoPeopleSignInAsync(WebApplication app, CancellationToken cancel) =>
        app.Services.GetRequiredService<PeopleRegister>().AreThereAsync(cancel);

    /// <summary>The address under which a started host answers on this machine.</summary>
    public static Uri AddressOf(WebApplication app)
    {
        var bound = new Uri(app.Urls.First());
        return new UriBuilder("http", "localhost", bound.Port).Uri;
    }

    private static async Task WarmAsync(WebApplication app)
    {
        try
        {
            await using AsyncServiceScope scope = app.Services.CreateAsyncScope();
            await scope
                .ServiceProvider.GetRequiredService<RigOutlook>()
                .MostUrgentAsync(app.Lifetime.ApplicationStopping);
        }
        catch (Exception problem)
            when (problem is OperationCanceledException or ObjectDisposedException or IOException)
        {
            // Stopped meanwhile, or the record cannot be read: the first page says so itself.
        }
    }

    private static WebApplication Build(ServeOptions options, LogbookStore store)
    {
        WebApplicationBuilder builder = WebApplication.CreateEmptyBuilder(
            new WebApplicationOptions { EnvironmentName = Environments.Production }
        );
        builder
            .WebHost.UseKestrelCore()
            .ConfigureKestrel(kestrel =>
            {
                kestrel.AddServerHeader = false;
                kestrel.Limits.MaxRequestBodySize = LargestRequest_bytes;
                foreach (System.Net.IPAddress address in options.Listen)
                {
                    kestrel.Listen(address, options.Port);
                }
            });
        builder.AddOperations(options);
        AddServices(builder.Services, options, store);
        (options.Join ?? DailyForecasts.Alone)(builder);
        // What answers requests must not be held by what outlives them: it would see the whole record.
        builder.Host.UseDefaultServiceProvider(services =>
        {
            services.ValidateScopes = true;
            services.ValidateOnBuild = true;
        });
        WebApplication app = builder.Build();
        if (options.Public is { } site)
        {
            app.UseForwardedHeaders(site.Headers());
            app.UseHsts();
        }

        app.UseHostFiltering();
        app.UseResponseCompression();
        app.UseMiddleware<SecurityHeaders>();
        app.UseMiddleware<Faults>();
        app.UseMiddleware<AssetFiles>();
        app.UseRateLimiter();
        app.UseWhetherPeople();
        app.UseMiddleware<SharedDoor>();
        if (options.Passphrase is { } passphrase)
        {
            app.UseMiddleware<Gate>(passphrase);
        }

        app.UseRouting();
        app.UsePeople();
        app.UseAntiforgery();
        app.MapHealth();
        app.MapApi();
        app.MapPictures();
        app.MapShared();
        app.MapPeople();
        app.MapRazorComponents<App>();
        return app;
    }

    private static void AddServices(IServiceCollection services, ServeOptions options, LogbookStore store)
    {
        services.AddRouting();
        services.AddSingleton(options);
        services.AddSingleton(options.Clock);
        services.AddPeople(store);
        services.AddOnWholeRecord<Inbox>();
        services.AddOnWholeRecord<DeviceRegister>();
        services.AddSingleton(_ => new DeviceLimits(options.DeviceRate));
        services.AddSingleton<BrokerState>();
        services.AddAlarms();
        services.AddHostedService<Reducing>();
        services.AddFleet();
        if (options.Mqtt is { } mqtt)
        {
            services.AddSingleton(mqtt);
            services.AddHostedService<MqttIngest>();
        }

        services.AddSingleton<AssetFiles>();
        services.AddSingleton<SecurityHeaders>();
        services.AddSingleton<Faults>();
        services.AddOnWholeRecord<SharedDoor>();
        services.AddSingleton<CalendarFeed>();
        services.AddSingleton(options.Simulated.Waters);
        services.AddSingleton(options.Simulated.Fills);
        services.AddSingleton(options.Simulated.Libraries);
        services.AddOnWholeRecord<RigForecasts>();
        services.AddSingleton<OutlookShelf>();
        services.AddScoped<RigOutlook>();
        services.AddSingleton(provider => new DailyForecasts(
            ActivatorUtilities.CreateInstance<RigOutlook>(provider, provider.WholeRecord())
        ));
        services.AddHttpContextAccessor();
        services.AddScoped(provider =>
            Preferences.Of(provider.GetRequiredService<IHttpContextAccessor>().HttpContext)
        );
        services.AddScoped<Speech>();
        services.AddScoped<LogbookPages>();
        services.AddLocalization();
        if (options.Texts is { } texts)
        {
            services.AddSingleton(texts);
        }

        services.Configure<HostFilteringOptions>(filter => filter.AllowedHosts = [.. options.Names]);
        services.AddHostFiltering(_ => { });
        services.AddResponseCompression(compression =>
        {
            compression.Providers.Add<BrotliCompressionProvider>();
            compression.Providers.Add<GzipCompressionProvider>();
            compression.MimeTypes =
            [
                .. ResponseCompressionDefaults.MimeTypes,
                "image/svg+xml",
                "application/problem+json",
            ];
        });
        services.Configure<BrotliCompressionProviderOptions>(o => o.Level = CompressionLevel.Fastest);
        services.AddAntiforgery(forgery =>
        {
            forgery.Cookie.Name = "rinsewright-form";
            forgery.Cookie.SameSite = SameSiteMode.Strict;
            forgery.Cookie.SecurePolicy = CookieSecurePolicy.SameAsRequest;
            forgery.SuppressXFrameOptionsHeader = true;
        });
        IDataProtectionBuilder keys = services.AddDataProtection().SetApplicationName("rinsewright");
        if (options.Address.Folder is { } folder)
        {
            keys.PersistKeysToFileSystem(new DirectoryInfo(Path.Combine(folder, "keys")));
        }

        services.AddRateLimiter(PublicPages.Limit);
        services.AddRazorComponents();
        services.AddApi();
    }
}
