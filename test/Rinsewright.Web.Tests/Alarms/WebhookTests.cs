using System.Buffers;
using System.Collections.Concurrent;
using System.Net;
using System.Reflection;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Logging;
using MQTTnet;
using MQTTnet.Protocol;
using MQTTnet.Server;
using Rinsewright.Records.Alarms;
using Rinsewright.Web.Alarms;
using Rinsewright.Web.Devices;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Web.Tests.Alarms;

/// <summary>Alarms for programs: by a request to their address, or at a broker.</summary>
public sealed class WebhookTests
{
    private static readonly string Root = typeof(WebhookTests)
        .Assembly.GetCustomAttributes<AssemblyMetadataAttribute>()
        .Single(a => a.Key is "RepositoryRoot")
        .Value!;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    private static ServeOptions Private(ServeOptions options) =>
        options with
        {
            Alarms = options.Alarms with { MayWebhooksBePrivate = true },
        };

    [Fact]
    public async Task A_request_is_signed_tried_again_under_the_same_key_and_as_its_schema_says()
    {
        await using Receiver receiver = await Receiver.StartAsync();
        await using AlarmSite site = await AlarmSite.StartAsync(Private);
        (_, string? secret) = await site.GoesToAsync(
            new DestinationDraft("Office", "webhook", $"{receiver.Address}hook")
        );
        receiver.Answers.Enqueue(500);
        receiver.Answers.Enqueue(302);
        await site.RaiseAsync(isUrgent: true);
        await site.UntilAsync(async () => (await site.StateAsync()).LastSentAt is not null);
        Received[] all = [.. receiver.All];
        Assert.Equal(["/hook", "/hook", "/hook"], all.Select(r => r.Path), StringComparer.Ordinal);
        Assert.Single(all.Select(r => r.Headers[WebhookRoute.KeyHeader]).Distinct(StringComparer.Ordinal));
        Received last = all[^1];
        byte[] signed =
        [
            .. Encoding.ASCII.GetBytes(last.Headers[WebhookRoute.TimeHeader] + "."),
            .. last.Body,
        ];
        Assert.Equal(
            Convert.ToBase64String(HMACSHA256.HashData(Convert.FromBase64String(secret!), signed)),
            last.Headers[WebhookRoute.SignatureHeader]
        );
        JsonElement json = JsonDocument.Parse(last.Body).RootElement;
        ExpectAsDescribed(json);
        JsonElement alarm = json.GetProperty("alarms")[0];
        Assert.Equal(
            ("raised", "feed", "Garage", true, 420, "µS/cm"),
            (
                alarm.GetProperty("state").GetString(),
                alarm.GetProperty("kind").GetString(),
                alarm.GetProperty("rig").GetProperty("name").GetString(),
                alarm.GetProperty("urgent").GetBoolean(),
                alarm.GetProperty("seen").GetDouble(),
                alarm.GetProperty("unit").GetString()
            )
        );
        Assert.Equal(last.Headers[WebhookRoute.KeyHeader], json.GetProperty("id").GetString());
        // Over, it is told again, as another message.
        await site.RaiseAsync(isOver: true);
        await site.UntilAsync(() => Task.FromResult(receiver.All.Count == 4));
        Assert.Contains(
            "\"cleared\"",
            Encoding.UTF8.GetString(receiver.All.Last().Body),
            StringComparison.Ordinal
        );
        Assert.DoesNotContain(secret!, site.Log.ToString(), StringComparison.Ordinal);
        Assert.Contains("no redirect is followed", site.Log.ToString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("http", "127.0.0.1", "not https")]
    [InlineData("https", "127.0.0.1", "this machine or a private network")]
    [InlineData("https", "localhost", "this machine or a private network")]
    [InlineData("https", "[::ffff:10.0.0.1]", "this machine or a private network")]
    public async Task What_only_this_machine_can_reach_is_not_asked_unless_that_is_allowed(
        string scheme,
        string host,
        string why
    )
    {
        await using Receiver receiver = await Receiver.StartAsync();
        await using AlarmSite site = await AlarmSite.StartAsync();
        await site.GoesToAsync(
            new DestinationDraft("Office", "webhook", $"{scheme}://{host}:{receiver.Address.Port}/")
        );
        await site.RaiseAsync();
        await site.UntilAsync(async () => (await site.StateAsync()).LastProblem is not null);
        Assert.Contains(why, (await site.StateAsync()).LastProblem, StringComparison.Ordinal);
        Assert.Empty(receiver.All);
    }

    [Fact]
    public async Task A_broker_gets_it_at_the_topic_of_the_destination_also_if_it_was_away()
    {
        int port = FreePort.Next();
        await using AlarmSite site = await AlarmSite.StartAsync(options =>
            options with
            {
                Mqtt = new MqttSource { Broker = new Uri($"mqtt://127.0.0.1:{port}"), ClientId = "test" },
            }
        );
        (AlarmDestination panel, _) = await site.GoesToAsync(new DestinationDraft("Panel", "mqtt", null));
        await site.RaiseAsync();
        await site.UntilAsync(async () => (await site.StateAsync()).LastProblem is not null);
        using MqttServer broker = new MqttServerFactory().CreateMqttServer(
            new MqttServerOptionsBuilder()
                .WithDefaultEndpoint()
                .WithDefaultEndpointBoundIPAddress(IPAddress.Loopback)
                .WithDefaultEndpointPort(port)
                .Build()
        );
        var heard = new ConcurrentQueue<MqttApplicationMessage>();
        broker.InterceptingPublishAsync += e =>
        {
            heard.Enqueue(e.ApplicationMessage);
            return Task.CompletedTask;
        };
        await broker.StartAsync();
        await site.UntilAsync(async () => (await site.StateAsync()).LastSentAt is not null);
        MqttApplicationMessage message = Assert.Single(heard);
        Assert.Equal(
            ($"rinsewright/alarms/{panel.Id}", MqttQualityOfServiceLevel.AtLeastOnce, "application/json"),
            (message.Topic, message.QualityOfServiceLevel, message.ContentType)
        );
        JsonElement json = JsonDocument.Parse(message.Payload.ToArray()).RootElement;
        ExpectAsDescribed(json);
        Assert.Equal(
            json.GetProperty("id").GetString(),
            Encoding.UTF8.GetString(
                message.UserProperties.Single(p => p.Name is "idempotency-key").ValueBuffer.Span
            )
        );
        await broker.StopAsync();
    }

    /// <summary>Every member is one that the schema describes, and none is missing.</summary>
    private static void ExpectAsDescribed(JsonElement message)
    {
        JsonElement schema = JsonDocument
            .Parse(File.ReadAllText(Path.Combine(Root, "docs", "formats", "alarm.schema.json")))
            .RootElement;
        Expect(schema, message);
        Expect(schema.GetProperty("$defs").GetProperty("alarm"), message.GetProperty("alarms")[0]);

        static void Expect(JsonElement described, JsonElement value)
        {
            string[] members = [.. value.EnumerateObject().Select(m => m.Name).Order(StringComparer.Ordinal)];
            Assert.Equal(
                described
                    .GetProperty("properties")
                    .EnumerateObject()
                    .Select(m => m.Name)
                    .Order(StringComparer.Ordinal),
                members,
                StringComparer.Ordinal
            );
            Assert.Equal(
                described
                    .GetProperty("required")
                    .EnumerateArray()
                    .Select(m => m.GetString()!)
                    .Order(StringComparer.Ordinal),
                members,
                StringComparer.Ordinal
            );
        }
    }

    private sealed record Received(string Path, IReadOnlyDictionary<string, string> Headers, byte[] Body);

    /// <summary>Takes requests and answers as it is told; 200 when it is told nothing.</summary>
    private sealed class Receiver : IAsyncDisposable
    {
        private readonly WebApplication _app;

        private Receiver(WebApplication app) => _app = app;

        public ConcurrentQueue<int> Answers { get; } = new();

        public ConcurrentQueue<Received> All { get; } = new();

        public Uri Address => new(_app.Urls.First() + "/");

        public static async Task<Receiver> StartAsync()
        {
            WebApplicationBuilder builder = WebApplication.CreateSlimBuilder();
            builder.Logging.ClearProviders();
            builder.WebHost.UseUrls("http://127.0.0.1:0");
            var receiver = new Receiver(builder.Build());
            receiver._app.Run(receiver.TakeAsync);
            await receiver._app.StartAsync(Stop);
            return receiver;
        }

        public ValueTask DisposeAsync() => _app.DisposeAsync();

        private async Task TakeAsync(HttpContext http)
        {
            using var body = new MemoryStream();
            await http.Request.Body.CopyToAsync(body, Stop);
            All.Enqueue(
                new Received(
                    http.Request.Path,
                    http.Request.Headers.ToDictionary(
                        h => h.Key,
                        h => h.Value.ToString(),
                        StringComparer.OrdinalIgnoreCase
                    ),
                    body.ToArray()
                )
            );
            http.Response.StatusCode = Answers.TryDequeue(out int status) ? status : 200;
            if (http.Response.StatusCode == 302)
            {
                http.Response.Headers.Location = "/elsewhere";
            }
        }
    }
}
