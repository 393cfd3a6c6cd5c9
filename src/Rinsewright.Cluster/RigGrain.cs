using Rinsewright.Records.Ingest;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cluster;

/// <summary>
/// The one place in the cluster where deliveries of a rig are taken, one after the other; of a gateway that reports on many
/// rigs, of the gateway.
/// </summary>
internal interface IRigGrain : IGrainWithGuidKey
{
    Task<AnswerMessage> TakeAsync(DeliveryMessage message);
}

/// <summary>Hands them to the inbox of its machine, which writes those of all rigs there together.</summary>
internal sealed class RigGrain(Inbox inbox) : Grain, IRigGrain
{
    public async Task<AnswerMessage> TakeAsync(DeliveryMessage message)
    {
        (Device device, Delivery delivery) = message.Read();
        try
        {
            return AnswerMessage.Of(await inbox.TakeAsync(device, delivery, CancellationToken.None));
        }
        catch (RecordUnavailableException problem)
        {
            return AnswerMessage.Of(problem);
        }
    }
}

/// <summary>Sends deliveries to whichever machine owns their rig.</summary>
internal sealed class GrainInbox(IGrainFactory grains) : IInbox
{
    public async Task<DeliveryAnswer> TakeAsync(Device device, Delivery delivery, CancellationToken cancel)
    {
        IRigGrain owner = grains.GetGrain<IRigGrain>(device.RigId?.Value ?? device.Id);
        try
        {
            AnswerMessage answer = await owner
                .TakeAsync(DeliveryMessage.Of(device, delivery))
                .WaitAsync(cancel);
            return answer.Read();
        }
        catch (Exception problem) when (problem is Orleans.Runtime.OrleansException or TimeoutException)
        {
            // Whether it was written is not known; the device sends it again, and it is kept once.
            throw new RecordUnavailableException(
                UnavailableReason.Unreachable,
                "The machine that owns this rig does not answer. Send it again.",
                problem
            );
        }
    }
}
