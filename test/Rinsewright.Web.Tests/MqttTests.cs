using System.Buffers;
using System.Net;
using System.Net.Sockets;
using System.Text;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Time.Testing;
using MQTTnet;
using MQTTnet.Exceptions;
using MQTTnet.Protocol;
using MQTTnet.Server;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Devices;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Tests;

/// <summary>Devices deliver through a broker.</summary>
public sealed class MqttTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task A_message_becomes_entries_and_is_answered_where_it_asks_for_it()
    {
        await using Place place = await Place.StartAsync(await OwnBroker.StartAsync());
        await place.ServeAsync();
        using IMqttClient device = await place.ConnectAsync("probe", "rinsewright/answers/probe");
        JsonElement kept = await place.AskAsync(device, Row(1), place.Key);
        Assert.Equal("kept", kept.GetProperty("rows")[0].GetProperty("status").GetString());
        JsonElement batch = await place.AskAsync(
            device,
            $$"""{"key": "{{place.Key}}", "rows": [{{Row(1)}}, {{Row(2)}}, {"kind": "guess"}]}""",
            key: null
        );
        Assert.Equal(
            ["already_there", "kept", "refused"],
            batch.GetProperty("rows").EnumerateArray().Select(r => r.GetProperty("status").GetString()!),
            StringComparer.Ordinal
        );
        JsonElement unread = await place.AskAsync(device, "{", place.Key);
        Assert.Equal(1, unread.GetProperty("refused").GetInt32());
        JsonElement unknown = await place.AskAsync(device, Row(3), key: place.Key[..^2] + "xx");
        Assert.True(unknown.TryGetProperty("problem", out _));
        Assert.Equal(2, await place.ReadingsAsync());
    }

    [Fact]
    public async Task What_is_published_while_the_program_is_stopped_is_taken_when_it_starts_again()
    {
        await using Place place = await Place.StartAsync(await OwnBroker.StartAsync());
        await place.ServeAsync();
        using IMqttClient device = await place.ConnectAsync("probe", "rinsewright/answers/probe");
        _ = await place.AskAsync(device, Row(1), place.Key);
        await place.StopServingAsync();
        for (int i = 2; i <= 40; i++)
        {
            await place.PublishAsync(device, Row(i));
        }

        await place.ServeAsync();
        await place.WaitForReadingsAsync(40);
    }

    [Fact]
    public async Task A_broker_that_forgets_everything_loses_nothing_of_a_device_that_waits_for_its_answers()
    {
        OwnBroker broker = await OwnBroker.StartAsync();
        await using Place place = await Place.StartAsync(broker);
        await place.ServeAsync();
        int restarts = 0;
        for (int i = 1; i <= 30; i++)
        {
            // Without an answer the device sends the row again, over a new connection.
            for (bool isKept = false; !isKept; )
            {
                try
                {
                    using IMqttClient device = await place.ConnectAsync("probe", "rinsewright/answers/probe");
                    if (i % 10 == 5 && restarts < i / 10 + 1)
                    {
                        restarts++;
                        Task<JsonElement> asking = place.AskAsync(device, Row(i), place.Key);
                        await broker.RestartAsync();
                        _ = await asking;
                    }
                    else
                    {
                        _ = await place.AskAsync(device, Row(i), place.Key);
                    }

                    isKept = true;
                }
                catch (Exception problem)
                    when (problem
                            is MqttCommunicationException
                                or TimeoutException
                                or InvalidOperationException
                    )
                {
                    // Sent again.
                }
            }
        }

        Assert.Equal((3, 30), (restarts, await place.ReadingsAsync()));
    }

    [Fact]
    public async Task Another_broker_that_is_restarted_under_load_loses_nothing_and_doubles_nothing()
    {
        await using Place place = await Place.StartAsync(await Mosquitto.StartAsync());
        await place.ServeAsync();
        const int Rows = 400;
        int sent = 1;
        int restarts = 0;
        using (IMqttClient first = await place.ConnectAsync("probe", "rinsewright/answers/probe"))
        {
            _ = await place.AskAsync(first, Row(1), place.Key);
        }

        while (sent < Rows)
        {
            try
            {
                using IMqttClient device = await place.ConnectAsync("probe");
                while (sent < Rows)
                {
                    if (sent == 100 * (restarts + 1) && restarts < 3)
                    {
                        restarts++;
                        await place.Broker.RestartAsync();
                    }

                    // Counted once the broker has it; otherwise sent again, though it may have it.
                    await place.PublishAsync(device, Row(sent + 1));
                    sent++;
                }
            }
            catch (Exception problem)
                when (problem is MqttCommunicationException or TimeoutException or InvalidOperationException)
            {
                // Sent again.
            }
        }

        await place.WaitForReadingsAsync(Rows);
        Assert.Equal(3, restarts);
        Assert.Equal(Rows, await place.ReadingsAsync());
    }

    private static string Row(int number) =>
        $$"""{"kind": "reading", "sequence": {{number}}, "at": "{{Site.LastDay.ToDateTime(new TimeOnly(6, 0)).AddSeconds(number):yyyy-MM-dd'T'HH:mm:ss'Z'}}", "what": "tds", "value": "3 ppm"}""";

    private interface IBroker : IAsyncDisposable
    {
        int Port { get; }

        /// <summary>Stops it and starts it again on its port.</summary>
        Task RestartAsync();
    }

    /// <summary>A broker within the test. It keeps nothing when it is stopped.</summary>
    private sealed class OwnBroker : IBroker
    {
        private MqttServer? _server;

        public int Port { get; } = FreePort.Next();

        public static async Task<OwnBroker> StartAsync()
        {
            var broker = new OwnBroker();
            await broker.StartServerAsync();
            return broker;
        }

        public async Task RestartAsync()
        {
            await DisposeAsync();
            await StartServerAsync();
        }

        public async ValueTask DisposeAsync()
        {
            await _server!.StopAsync(new MqttServerStopOptions());
            _server.Dispose();
        }

        private async Task StartServerAsync()
        {
            _server = new MqttServerFactory().CreateMqttServer(
                new MqttServerOptionsBuilder()
                    .WithDefaultEndpoint()
                    .WithDefaultEndpointPort(Port)
                    .WithDefaultEndpointBoundIPAddress(IPAddress.Loopback)
                    .WithDefaultEndpointBoundIPV6Address(IPAddress.None)
                    .WithPersistentSessions()
                    .Build()
            );
            await _server.StartAsync();
        }
    }

    /// <summary>A broker of another kind, which keeps its sessions on the disk.</summary>
    private sealed class Mosquitto : IBroker
    {
        private const string Program = "/usr/sbin/mosquitto";
        private readonly string _folder = Directory.CreateTempSubdirectory("rinsewright-mqtt-").FullName;
        private System.Diagnostics.Process? _process;

        public int Port { get; } = FreePort.Next();

        public static async Task<Mosquitto> StartAsync()
        {
            Assert.SkipUnless(File.Exists(Program), "mosquitto is not installed");
            var broker = new Mosquitto();
            await File.WriteAllTextAsync(
                Path.Combine(broker._folder, "broker.conf"),
                $"""
                listener {broker.Port} 127.0.0.1
                allow_anonymous true
                persistence true
                persistence_location {broker._folder}/
                max_queued_messages 0
                {(Environment.IsPrivilegedProcess ? "user root" : "")}

                """,
                Stop
            );
            await broker.StartProcessAsync();
            return broker;
        }

        public async Task RestartAsync()
        {
            await EndAsync();
            await StartProcessAsync();
        }

        public async ValueTask DisposeAsync()
        {
            await EndAsync();
            Directory.Delete(_folder, recursive: true);
        }

        private async Task StartProcessAsync()
        {
            _process = System.Diagnostics.Process.Start(
                new System.Diagnostics.ProcessStartInfo(
                    "/bin/sh",
                    ["-c", $"exec {Program} -c {_folder}/broker.conf >{_folder}/log 2>&1"]
                )
                {
                    UseShellExecute = false,
                }
            );
            await Until.HoldsAsync(async () =>
            {
                try
                {
                    using var probe = new TcpClient();
                    await probe.ConnectAsync(IPAddress.Loopback, Port, Stop);
                    return true;
                }
                catch (SocketException)
                {
                    return false;
                }
            });
        }

        private async Task EndAsync()
        {
            // In order, as a service is stopped: it then writes its sessions.
            using var kill = System.Diagnostics.Process.Start("kill", $"{_process!.Id}");
            await _process.WaitForExitAsync(CancellationToken.None);
            _process.Dispose();
        }
    }

    /// <summary>A record with one rig and one device, served beside a broker.</summary>
    private sealed class Place : IAsyncDisposable
    {
        private readonly string _folder = Directory.CreateTempSubdirectory("rinsewright-web-").FullName;
        private readonly FakeTimeProvider _clock = new(
            new DateTimeOffset(Site.LastDay, new TimeOnly(9, 0), TimeSpan.Zero)
        );
        private WebApplication? _app;
        private int _asked;

        private Place(IBroker broker) => Broker = broker;

        public IBroker Broker { get; }

        public string Key { get; private set; } = "";

        private StoreAddress Address => StoreAddress.InFolder(_folder);

        public static async Task<Place> StartAsync(IBroker broker)
        {
            var place = new Place(broker);
            await using LogbookStore store = await LogbookStore.OpenAsync(place.Address, place._clock, Stop);
            var rig = new Rig { Id = store.Ids.Next<Rig>(), Name = "Van 1" };
            await store.WriteAsync(new EditDraft("Ana"), [rig], Stop);
            (AddedDevice? added, _) = await new DeviceRegister(store).AddAsync(
                new DeviceDraft("Probe", rig.Id, null),
                Stop
            );
            place.Key = added!.Key;
            return place;
        }

        public async Task ServeAsync() =>
            _app = await WebHost.StartAsync(
                new ServeOptions
                {
                    Address = Address,
                    Clock = _clock,
                    Port = 0,
                    Mqtt = new MqttSource
                    {
                        Broker = new Uri($"mqtt://127.0.0.1:{Broker.Port}"),
                        ClientId = "rinsewright-test",
                    },
                },
                Stop
            );

        public async Task StopServingAsync()
        {
            await _app!.StopAsync(Stop);
            await _app.DisposeAsync();
            _app = null;
        }

        /// <summary>A device that, if it is told where, hears answers.</summary>
        public async Task<IMqttClient> ConnectAsync(string name, string? answers = null)
        {
            IMqttClient client = new MqttClientFactory().CreateMqttClient();
            await client.ConnectAsync(
                new MqttClientOptionsBuilder()
                    .WithTcpServer("127.0.0.1", Broker.Port)
                    .WithProtocolVersion(MQTTnet.Formatter.MqttProtocolVersion.V500)
                    .WithClientId(name)
                    .Build(),
                Stop
            );
            if (answers is not null)
            {
                await client.SubscribeAsync(answers, MqttQualityOfServiceLevel.AtLeastOnce, Stop);
            }

            return client;
        }

        public Task PublishAsync(IMqttClient device, string row) => PublishAsync(device, row, Key, null);

        public async Task<JsonElement> AskAsync(IMqttClient device, string payload, string? key)
        {
            string number = $"{++_asked}";
            var heard = new TaskCompletionSource<byte[]>(TaskCreationOptions.RunContinuationsAsynchronously);
            Task Hear(MqttApplicationMessageReceivedEventArgs e)
            {
                if (
                    string.Equals(
                        Encoding.UTF8.GetString(e.ApplicationMessage.CorrelationData ?? []),
                        number,
                        StringComparison.Ordinal
                    )
                )
                {
                    heard.TrySetResult(e.ApplicationMessage.Payload.ToArray());
                }

                return Task.CompletedTask;
            }

            device.ApplicationMessageReceivedAsync += Hear;
            try
            {
                // The program may only be connecting: what nobody is subscribed to yet is dropped, and sent again.
                for (int i = 0; ; i++)
                {
                    await PublishAsync(device, payload, key, number);
                    try
                    {
                        return JsonDocument
                            .Parse(await heard.Task.WaitAsync(TimeSpan.FromSeconds(2), Stop))
                            .RootElement;
                    }
                    catch (TimeoutException) when (i < 10 && device.IsConnected) { }
                }
            }
            finally
            {
                device.ApplicationMessageReceivedAsync -= Hear;
            }
        }

        public async Task<int> ReadingsAsync()
        {
            await using LogbookContext context = _app!.Services.WholeRecord().Read();
            return await context.Live<Reading>().CountAsync(Stop);
        }

        public async Task WaitForReadingsAsync(int count)
        {
            await Until.HoldsAsync(async () => await ReadingsAsync() >= count);
            Assert.Equal(count, await ReadingsAsync());
        }

        public async ValueTask DisposeAsync()
        {
            if (_app is not null)
            {
                await StopServingAsync();
            }

            await Broker.DisposeAsync();
            SqliteConnection.ClearAllPools();
            Directory.Delete(_folder, recursive: true);
        }

        private static async Task PublishAsync(
            IMqttClient device,
            string payload,
            string? key,
            string? number
        )
        {
            MqttApplicationMessageBuilder message = new MqttApplicationMessageBuilder()
                .WithTopic("rinsewright/rows/probe")
                .WithQualityOfServiceLevel(MqttQualityOfServiceLevel.AtLeastOnce)
                .WithPayload(payload);
            if (key is not null)
            {
                message.WithUserProperty("key", Encoding.UTF8.GetBytes(key));
            }

            if (number is not null)
            {
                message
                    .WithResponseTopic("rinsewright/answers/probe")
                    .WithCorrelationData(Encoding.UTF8.GetBytes(number));
            }

            await device.PublishAsync(message.Build(), Stop);
        }
    }
}
