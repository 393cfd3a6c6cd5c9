using System.Text;
using MQTTnet;
using MQTTnet.Exceptions;
using MQTTnet.Protocol;
using Rinsewright.Records.Alarms;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Web.Alarms;

/// <summary>Publishes messages at the broker that devices publish to, too (MQTT 5, QoS 1), at a topic of the destination's own.</summary>
internal sealed class MqttRoute(ServeOptions options, AlarmWords words, AlarmLinks links) : IAlarmRoute
{
    public DeliveryRoute Route => DeliveryRoute.Mqtt;

    public async Task SendAsync(DueMessage message, CancellationToken cancel)
    {
        if (options.Mqtt is not { } broker)
        {
            throw new NotDeliveredException("The program was told of no broker: serve --mqtt.");
        }

        using IMqttClient client = new MqttClientFactory().CreateMqttClient();
        MqttClientOptionsBuilder connection = new MqttClientOptionsBuilder()
            .WithConnectionUri(broker.Broker)
            .WithProtocolVersion(MQTTnet.Formatter.MqttProtocolVersion.V500)
            .WithClientId($"{broker.ClientId}-alarms-{Guid.NewGuid():N}");
        if (broker.User is not null)
        {
            connection.WithCredentials(broker.User, broker.Password ?? "");
        }

        try
        {
            MqttClientConnectResult result = await client.ConnectAsync(connection.Build(), cancel);
            if (result.ResultCode is not MqttClientConnectResultCode.Success)
            {
                throw new NotDeliveredException($"The broker refuses the connection: {result.ResultCode}.");
            }

            MqttClientPublishResult published = await client.PublishAsync(
                new MqttApplicationMessageBuilder()
                    .WithTopic(AlarmDocument.TopicOf(broker, message.Destination))
                    .WithQualityOfServiceLevel(MqttQualityOfServiceLevel.AtLeastOnce)
                    .WithContentType("application/json")
                    .WithUserProperty(
                        "idempotency-key",
                        Encoding.UTF8.GetBytes(message.Message.Id.ToString())
                    )
                    .WithPayload(
                        AlarmDocument.Write(
                            message,
                            words,
                            links.Make(message.Message.Id),
                            options.Clock.GetUtcNow()
                        )
                    )
                    .Build(),
                cancel
            );
            if (!published.IsSuccess)
            {
                throw new NotDeliveredException($"The broker refuses the message: {published.ReasonCode}.");
            }

            await client.DisconnectAsync(new MqttClientDisconnectOptions(), CancellationToken.None);
        }
        catch (MqttCommunicationException problem)
        {
            throw new NotDeliveredException(problem.Message, problem);
        }
    }
}
