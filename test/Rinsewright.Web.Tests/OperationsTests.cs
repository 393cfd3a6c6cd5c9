using System.Collections.Concurrent;
using System.Net;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Time.Testing;
using OpenTelemetry.Metrics;
using OpenTelemetry.Trace;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Devices;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.Operations;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Tests;

/// <summary>What whoever runs the program sees of it: health, traces, metrics, limits.</summary>
public sealed class OperationsTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Health_is_told_to_anyone_and_says_nothing_of_the_record()
    {
        await using Site site = await Site.EmptyAsync("correct horse battery");
        foreach (
            (string path, string[] checks) in new[]
            {
                ("live", []),
                ("ready", (string[])["serving", "record"]),
            }
        )
        {
            HttpResponseMessage answer = await site.Http.GetAsync($"/health/{path}", Stop);
            Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
            JsonElement json = await answer.Content.ReadFromJsonAsync<JsonElement>(Stop);
            Assert.Equal("ok", json.GetProperty("status").GetString());
            Assert.Equal(
                checks,
                json.GetProperty("checks").EnumerateObject().Select(c => c.Name),
                StringComparer.Ordinal
            );
        }
    }

    [Fact]
    public async Task Without_its_broker_the_program_lives_and_is_not_ready()
    {
        await using Place place = await Place.StartAsync(o =>
            o with
            {
                // Nobody listens at the discard port of this machine.
                Mqtt = new MqttSource { Broker = new Uri("mqtt://127.0.0.1:9") },
            }
        );
        Assert.Equal(HttpStatusCode.OK, (await place.Http.GetAsync("/health/live", Stop)).StatusCode);
        HttpResponseMessage ready = await place.Http.GetAsync("/health/ready", Stop);
        Assert.Equal(HttpStatusCode.ServiceUnavailable, ready.StatusCode);
        JsonElement checks = (await ready.Content.ReadFromJsonAsync<JsonElement>(Stop)).GetProperty("checks");
        Assert.Equal("failing", checks.GetProperty("broker").GetString());
        Assert.Equal("ok", checks.GetProperty("record").GetString());
    }

    [Fact]
    public async Task Nothing_observes_and_nothing_is_sent_unless_it_is_asked_for()
    {
        await using Place place = await Place.StartAsync(o => o);
        Assert.Null(place.App.Services.GetService(typeof(MeterProvider)));
        Assert.Null(place.App.Services.GetService(typeof(TracerProvider)));
        Assert.False(
            new Telemetry
            {
                Collector = new Uri("http://localhost:4318"),
                Stated = new Dictionary<string, string>(StringComparer.Ordinal)
                {
                    ["OTEL_SDK_DISABLED"] = "true",
                },
            }.IsAskedFor
        );
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task A_collector_that_is_named_gets_traces_and_metrics(bool byOption)
    {
        await using Collector collector = await Collector.StartAsync();
        await using (
            Place place = await Place.StartAsync(o =>
                o with
                {
                    Telemetry = byOption
                        ? new Telemetry { Collector = collector.Address }
                        : new Telemetry
                        {
                            Stated = new Dictionary<string, string>(StringComparer.Ordinal)
                            {
                                ["OTEL_EXPORTER_OTLP_ENDPOINT"] = collector.Address.ToString(),
                                ["OTEL_EXPORTER_OTLP_PROTOCOL"] = "http/protobuf",
                            },
                        },
                }
            )
        )
        {
            string key = await place.DeviceAsync();
            Assert.Equal(HttpStatusCode.OK, (await place.SendAsync(key, 3)).StatusCode);
            await place.Http.GetAsync("/shared/a-token-that-nobody-may-see", Stop);
            await place.Http.GetAsync("/alarms/link/a-token-that-nobody-may-see", Stop);
            await place.App.StopAsync(Stop);
        }

        string metrics = collector.Received("/v1/metrics");
        Assert.Contains("rinsewright.ingest.rows", metrics, StringComparison.Ordinal);
        Assert.Contains("rinsewright.ingest.write.duration", metrics, StringComparison.Ordinal);
        string traces = collector.Received("/v1/traces");
        Assert.Contains("ingest write", traces, StringComparison.Ordinal);
        Assert.Contains("/api/ingest/rows", traces, StringComparison.Ordinal);
        Assert.DoesNotContain("a-token-that-nobody-may-see", traces, StringComparison.Ordinal);
        Assert.DoesNotContain("a-token-that-nobody-may-see", metrics, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_device_that_delivers_too_much_is_told_to_wait_and_the_others_are_not()
    {
        await using Place place = await Place.StartAsync(o =>
            o with
            {
                DeviceRate = new DeviceRate { Most_rows = 500, Steady_rows_s = 1 },
            }
        );
        string wild = await place.DeviceAsync();
        string calm = await place.DeviceAsync("Calm");
        Assert.Equal(HttpStatusCode.OK, (await place.SendAsync(wild, 400)).StatusCode);
        // So many rows that what is allowed anew meanwhile, on a real clock, does not count.
        HttpResponseMessage refused = await place.SendAsync(wild, 500);
        Assert.Equal(HttpStatusCode.TooManyRequests, refused.StatusCode);
        Assert.InRange(refused.Headers.RetryAfter!.Delta!.Value.TotalSeconds, 1, 500);
        Assert.Equal("application/problem+json", refused.Content.Headers.ContentType!.MediaType);
        Assert.Equal(HttpStatusCode.OK, (await place.SendAsync(calm, 400)).StatusCode);
    }

    [Fact]
    public async Task A_record_that_is_open_for_days_has_its_backup_of_each_day()
    {
        var clock = new FakeTimeProvider(new DateTimeOffset(2027, 3, 1, 9, 0, 0, TimeSpan.Zero));
        await using Place place = await Place.StartAsync(o => o with { Clock = clock });
        for (int day = 1; day <= 2; day++)
        {
            clock.Advance(TimeSpan.FromDays(1));
            // The clock goes on: its hour may only have begun to be waited for after the day had passed.
            await Until.HoldsAsync(
                () => Task.FromResult(place.Backups.Count >= day),
                () => clock.Advance(TimeSpan.FromMinutes(1))
            );
            Assert.Equal(day, place.Backups.Count);
        }
    }

    /// <summary>A host over an empty record, with options of the test.</summary>
    private sealed class Place : IAsyncDisposable
    {
        private readonly string _folder;
        private Id<Rig>? _rig;

        private Place(string folder, WebApplication app)
        {
            _folder = folder;
            App = app;
            Http = new HttpClient { BaseAddress = WebHost.AddressOf(app) };
        }

        public WebApplication App { get; }

        public HttpClient Http { get; }

        public IReadOnlyList<string> Backups => Store.Backups!.List();

        private LogbookStore Store => App.Services.WholeRecord();

        public static async Task<Place> StartAsync(Func<ServeOptions, ServeOptions> with)
        {
            string folder = Directory.CreateTempSubdirectory("rinsewright-operations-").FullName;
            return new Place(
                folder,
                await WebHost.StartAsync(
                    with(new ServeOptions { Address = StoreAddress.InFolder(folder), Port = 0 }),
                    Stop
                )
            );
        }

        /// <summary>Adds a device; returns its key.</summary>
        public async Task<string> DeviceAsync(string name = "Probe")
        {
            if (_rig is null)
            {
                var rig = new Rig { Id = Store.Ids.Next<Rig>(), Name = "Bay" };
                Assert.Empty((await Store.WriteAsync(new EditDraft("test"), [rig], Stop)).Problems);
                _rig = rig.Id;
            }

            (AddedDevice? added, _) = await new DeviceRegister(Store).AddAsync(
                new DeviceDraft(name, _rig, null),
                Stop
            );
            return added!.Key;
        }

        /// <summary>Delivers so many rows.</summary>
        public async Task<HttpResponseMessage> SendAsync(string key, int rows)
        {
            using var request = new HttpRequestMessage(
                HttpMethod.Post,
                new Uri("/api/ingest/rows", UriKind.Relative)
            )
            {
                Content = new StringContent(
                    $$"""{"rows": [{{string.Join(
                        ", ",
                        Enumerable
                            .Range(0, rows)
                            .Select(i =>
                                $$"""{"kind": "sample", "at": "2026-01-01T00:{{i / 60:00}}:{{i % 60:00}}Z", "what": "conductivity", "value": "3 µS/cm"}"""
                            )
                    )}}]}""",
                    Encoding.UTF8,
                    "application/json"
                ),
            };
            request.Headers.Authorization = new("Bearer", key);
            return await Http.SendAsync(request, Stop);
        }

        public async ValueTask DisposeAsync()
        {
            Http.Dispose();
            await App.DisposeAsync();
            SqliteConnection.ClearAllPools();
            Directory.Delete(_folder, recursive: true);
        }
    }

    /// <summary>Takes whatever is sent to it by OTLP over HTTP, and keeps it.</summary>
    private sealed class Collector : IAsyncDisposable
    {
        private readonly WebApplication _app;
        private readonly ConcurrentQueue<(string Path, string Body)> _received = new();

        private Collector(WebApplication app)
        {
            _app = app;
            _app.MapPost(
                "/{**path}",
                async http =>
                {
                    // Names and texts stand in the protocol's bytes as they are.
                    using var reader = new StreamReader(http.Request.Body, Encoding.Latin1);
                    _received.Enqueue((http.Request.Path, await reader.ReadToEndAsync(http.RequestAborted)));
                }
            );
        }

        public Uri Address => WebHost.AddressOf(_app);

        public static async Task<Collector> StartAsync()
        {
            WebApplicationBuilder builder = WebApplication.CreateSlimBuilder();
            builder.Logging.ClearProviders();
            builder.WebHost.UseSetting("urls", "http://127.0.0.1:0");
            var collector = new Collector(builder.Build());
            await collector._app.StartAsync(Stop);
            return collector;
        }

        public string Received(string path) =>
            string.Concat(
                _received
                    .Where(r => string.Equals(r.Path, path, StringComparison.Ordinal))
                    .Select(r => r.Body)
            );

        public ValueTask DisposeAsync() => _app.DisposeAsync();
    }
}
