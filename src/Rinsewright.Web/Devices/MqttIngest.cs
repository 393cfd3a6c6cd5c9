using System.Buffers;
using System.Text;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using MQTTnet;
using MQTTnet.Exceptions;
using MQTTnet.Protocol;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Storage;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Devices;

/// <summary>
/// Takes what devices publish at a broker (MQTT 5, QoS 1). The session outlives the connection, and a message is acknowledged only
/// once its rows are on the disk: what was not is delivered again, and rows that come twice are kept once.
/// </summary>
internal sealed partial class MqttIngest(
    MqttSource source,
    IInbox inbox,
    DeviceRegister register,
    [FromKeyedServices(PeopleHosting.Whole)] LogbookStore store,
    BrokerState state,
    ILogger<MqttIngest> log
) : BackgroundService
{
    /// <summary>Messages that the broker hands over before the first of them is acknowledged.</summary>
    private const ushort MostAtOnce = 200;

    private const uint LargestMessage_bytes = 8_000_000;
    private static readonly TimeSpan SessionIsKept = TimeSpan.FromDays(7);
    private static readonly TimeSpan FirstWait = TimeSpan.FromMilliseconds(250);
    private static readonly TimeSpan LongestWait = TimeSpan.FromSeconds(30);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        TimeSpan wait = FirstWait;
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                await ListenAsync(() => wait = FirstWait, stoppingToken);
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
            catch (Exception problem)
                when (problem is MqttCommunicationException or OperationCanceledException or IOException)
            {
                LogAway(source.Broker.Host, problem.Message);
            }
            catch (Exception problem)
            {
                // What goes wrong with one connection must not end the host: the broker keeps what was not acknowledged.
                LogFailed(problem, source.Broker.Host);
            }

            state.IsConnected = false;
            // The broker's time is not the record's: it passes while that clock stands still.
            await Task.Delay(wait, TimeProvider.System, stoppingToken)
                .ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
            wait = wait * 2 < LongestWait ? wait * 2 : LongestWait;
        }
    }

    /// <summary>One connection, from its beginning to its end.</summary>
    private async Task ListenAsync(Action connected, CancellationToken stop)
    {
        using IMqttClient client = new MqttClientFactory().CreateMqttClient();
        using var lost = CancellationTokenSource.CreateLinkedTokenSource(stop);
        var messages = System.Threading.Channels.Channel.CreateBounded<(
            MqttApplicationMessageReceivedEventArgs Message,
            Task<DeliveryAnswer?> Answer
        )>(MostAtOnce);
        client.DisconnectedAsync += _ => lost.CancelAsync();
        client.ApplicationMessageReceivedAsync += async message =>
        {
            message.AutoAcknowledge = false;
            await messages.Writer.WriteAsync(
                (message, TakeAsync(message.ApplicationMessage, lost.Token)),
                lost.Token
            );
        };
        MqttClientConnectResult result = await client.ConnectAsync(Options(), stop);
        if (result.ResultCode is not MqttClientConnectResultCode.Success)
        {
            throw new IOException($"It refuses the connection: {result.ResultCode}.");
        }

        MqttClientSubscribeResult subscribed = await client.SubscribeAsync(
            source.RowTopics,
            MqttQualityOfServiceLevel.AtLeastOnce,
            stop
        );
        if (subscribed.Items.Any(i => i.ResultCode > MqttClientSubscribeResultCode.GrantedQoS2))
        {
            throw new IOException($"It lets nobody subscribe to {source.RowTopics}.");
        }

        connected();
        state.IsConnected = true;
        try
        {
            // In the order in which they came, as MQTT 5 has it (4.6).
            await foreach (
                (var message, Task<DeliveryAnswer?> taking) in messages.Reader.ReadAllAsync(lost.Token)
            )
            {
                DeliveryAnswer? answer = await taking;
                await AnswerAsync(client, message.ApplicationMessage, answer, lost.Token);
                await message.AcknowledgeAsync(lost.Token);
            }
        }
        catch (OperationCanceledException) when (stop.IsCancellationRequested)
        {
            await client.DisconnectAsync(new MqttClientDisconnectOptions(), CancellationToken.None);
            throw;
        }
        catch (OperationCanceledException ended)
        {
            throw new IOException("The connection ended.", ended);
        }
    }

    /// <summary>Nothing when the message is of no device; tried again for as long as the record cannot be written.</summary>
    private async Task<DeliveryAnswer?> TakeAsync(MqttApplicationMessage message, CancellationToken lost)
    {
        Delivery delivery = DeliveryText.OfMessage(message.Payload.ToArray(), out string? key);
        if (message.UserProperties?.Find(p => p.Name is "key") is { } stated)
        {
            key = Encoding.UTF8.GetString(stated.ValueBuffer.Span);
        }

        while (true)
        {
            try
            {
                if (await register.FindAsync(key, lost) is { } device)
                {
                    return await inbox.TakeAsync(device, delivery, lost);
                }

                LogUnknown(message.Topic);
                return null;
            }
            catch (Exception problem) when (store.WhyUnavailable(problem) is not null)
            {
                LogLater(store.WhyUnavailable(problem)!.Message);
                await Task.Delay(FirstWait * 4, TimeProvider.System, lost);
            }
        }
    }

    private async Task AnswerAsync(
        IMqttClient client,
        MqttApplicationMessage message,
        DeliveryAnswer? answer,
        CancellationToken lost
    )
    {
        // Elsewhere a device could make this program publish what others take for theirs.
        if (message.ResponseTopic?.StartsWith(source.AnswerTopics, StringComparison.Ordinal) is not true)
        {
            return;
        }

        MqttApplicationMessageBuilder reply = new MqttApplicationMessageBuilder()
            .WithTopic(message.ResponseTopic)
            .WithQualityOfServiceLevel(MqttQualityOfServiceLevel.AtLeastOnce)
            .WithContentType("application/json")
            .WithPayload(DeliveryResult.ToJson(answer));
        if (message.CorrelationData is { } correlation)
        {
            reply.WithCorrelationData(correlation);
        }

        await client.PublishAsync(reply.Build(), lost);
    }

    private MqttClientOptions Options()
    {
        MqttClientOptionsBuilder options = new MqttClientOptionsBuilder()
            .WithConnectionUri(source.Broker)
            .WithProtocolVersion(MQTTnet.Formatter.MqttProtocolVersion.V500)
            .WithClientId(source.ClientId)
            .WithCleanStart(false)
            .WithSessionExpiryInterval((uint)SessionIsKept.TotalSeconds)
            .WithReceiveMaximum(MostAtOnce)
            .WithMaximumPacketSize(LargestMessage_bytes);
        if (source.User is not null)
        {
            options.WithCredentials(source.User, source.Password ?? "");
        }

        return options.Build();
    }

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "The broker {Host} is away, and is tried again: {Reason}"
    )]
    private partial void LogAway(string host, string reason);

    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "The connection to the broker {Host} failed, and is made again"
    )]
    private partial void LogFailed(Exception problem, string host);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "A message at {Topic} has no device's key, and is not kept"
    )]
    private partial void LogUnknown(string topic);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "A message is kept at the broker and tried again: {Reason}"
    )]
    private partial void LogLater(string reason);
}
