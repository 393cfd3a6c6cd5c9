using System.Diagnostics;
using System.Threading.Channels;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Ingest;

/// <summary>Takes what devices deliver: here and now, or on the machine that owns the rig.</summary>
public interface IInbox
{
    /// <summary>Takes a delivery; every row is answered by its own status, once what it says is on the disk.</summary>
    /// <exception cref="RecordUnavailableException">The record cannot be written; what was not answered is to be sent again.</exception>
    /// <exception cref="OperationCanceledException">Nobody waits for the answer any more; it may have been kept.</exception>
    Task<DeliveryAnswer> TakeAsync(Device device, Delivery delivery, CancellationToken cancel);
}

/// <summary>
/// Takes what devices deliver into the record. What waits is written together, in one transaction, and each is answered only once
/// that is on the disk: many devices cost few commits, and none is told that a row is kept before it is.
/// </summary>
public sealed class Inbox : IInbox, IAsyncDisposable
{
    /// <summary>Rows that are written in one transaction, unless one delivery alone has more.</summary>
    private const int RowsTogether = 2000;

    private static readonly ActivitySource Traces = new(InboxMeter.Name);

    private readonly Channel<Waiting> _queue = Channel.CreateBounded<Waiting>(
        new BoundedChannelOptions(4096) { SingleReader = true }
    );

    private readonly DeliveryWriting _writing;
    private readonly ChannelReduction _reduction;
    private readonly LogbookStore _store;
    private readonly InboxMeter _meter;
    private readonly Task _work;

    public Inbox(LogbookStore store)
    {
        _meter = new InboxMeter(this, () => _queue.Reader.Count);
        _store = store;
        _writing = new DeliveryWriting(store);
        _reduction = new ChannelReduction(store);
        _work = Task.Run(WorkAsync);
    }

    /// <inheritdoc/>
    public async Task<DeliveryAnswer> TakeAsync(Device device, Delivery delivery, CancellationToken cancel)
    {
        var waiting = new Waiting(device, delivery);
        try
        {
            await _queue.Writer.WriteAsync(waiting, cancel);
        }
        catch (ChannelClosedException closed)
        {
            throw new RecordUnavailableException(
                UnavailableReason.Unreachable,
                "The program is being stopped. Nothing was written that was not acknowledged.",
                closed
            );
        }

        return await waiting.Answer.Task.WaitAsync(cancel);
    }

    /// <summary>Makes entries of the channels that are due; returns how many entries were written.</summary>
    /// <exception cref="RecordUnavailableException">The database cannot be written.</exception>
    public Task<int> ReduceAsync(CancellationToken cancel) => _reduction.RunAsync(cancel);

    /// <summary>Takes nothing more, writes what waits, and ends.</summary>
    public async ValueTask DisposeAsync()
    {
        _queue.Writer.TryComplete();
        await _work;
        _meter.Dispose();
    }

    private async Task WorkAsync()
    {
        while (await _queue.Reader.WaitToReadAsync())
        {
            var together = new List<Waiting>();
            int rows = 0;
            while (rows < RowsTogether && _queue.Reader.TryRead(out Waiting? waiting))
            {
                together.Add(waiting);
                rows += waiting.Delivery.Rows.Count;
            }

            await WriteAsync(together);
        }
    }

    private async Task WriteAsync(List<Waiting> together)
    {
        using Activity? trace = Traces.StartActivity("ingest write");
        trace?.SetTag("rinsewright.deliveries", together.Count);
        long start = _store.Clock.GetTimestamp();
        try
        {
            IReadOnlyList<DeliveryAnswer> answers = await _writing.WriteAsync(
                [.. together.Select(w => (w.Device, w.Delivery))],
                Logbook.Instant.Now(_store.Clock)
            );
            _meter.Wrote(_store.Clock.GetElapsedTime(start));
            foreach ((Waiting waiting, DeliveryAnswer answer) in together.Zip(answers))
            {
                _meter.Count(waiting.Delivery, answer);
                waiting.Answer.TrySetResult(answer);
            }
        }
        catch (Exception problem) when (together.Count == 1 || problem is RecordUnavailableException)
        {
            trace?.SetStatus(ActivityStatusCode.Error);
            foreach (Waiting waiting in together)
            {
                waiting.Answer.TrySetException(problem);
            }
        }
        catch (Exception)
        {
            // One of them cannot be written: the others must not suffer for it.
            foreach (Waiting waiting in together)
            {
                await WriteAsync([waiting]);
            }
        }
    }

    private sealed record Waiting(Device Device, Delivery Delivery)
    {
        public TaskCompletionSource<DeliveryAnswer> Answer { get; } =
            new(TaskCreationOptions.RunContinuationsAsynchronously);
    }
}
