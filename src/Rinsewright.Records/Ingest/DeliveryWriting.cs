using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Ingest;

/// <summary>Writes deliveries in one transaction. Used by one thread at a time.</summary>
internal sealed class DeliveryWriting(LogbookStore store)
{
    private readonly Dictionary<Guid, DeviceScope> _scopes = [];
    private readonly RowMarks _marks = new();
    private long _stamp = -1;

    /// <summary>Writes them, or nothing of them; the answers are in their order.</summary>
    public async Task<IReadOnlyList<DeliveryAnswer>> WriteAsync(
        IReadOnlyList<(Device Device, Delivery Delivery)> deliveries,
        DateTimeOffset now
    )
    {
        try
        {
            (List<DeliveryAnswer> answers, IReadOnlyList<ReceivedRow> written) = await store.TransactAsync(
                async (context, clashes) =>
                {
                    if (clashes > 0)
                    {
                        _marks.Forget();
                    }

                    IReadOnlyList<ReadDelivery> read = await ReadAsync(context, deliveries, now);
                    var writing = new RowWriting(store, context, _marks, now);
                    await writing.FindAsync([.. read.Select(d => (d.Device, d.Understood))]);
                    List<DeliveryAnswer> answers = [];
                    foreach (ReadDelivery delivery in read)
                    {
                        answers.Add(Write(writing, delivery, now));
                    }

                    await writing.FinishAsync();
                    return (answers, writing.Written);
                },
                CancellationToken.None
            );
            _marks.Learn(written);
            return answers;
        }
        catch
        {
            // Whether the last commit reached the disk is not known.
            _marks.Forget();
            throw;
        }
    }

    private async Task<IReadOnlyList<ReadDelivery>> ReadAsync(
        LogbookContext context,
        IReadOnlyList<(Device Device, Delivery Delivery)> deliveries,
        DateTimeOffset now
    )
    {
        await ForgetOldScopesAsync(context);
        await DeviceScope.LoadAsync(
            context,
            [.. deliveries.Select(d => d.Device)],
            _scopes,
            CancellationToken.None
        );
        return [.. deliveries.Select(d => ReadDelivery.Of(d.Device, d.Delivery, _scopes[d.Device.Id], now))];
    }

    private static DeliveryAnswer Write(RowWriting writing, ReadDelivery delivery, DateTimeOffset now)
    {
        RowAnswer[] answers = delivery.Answers;
        IReadOnlyList<InputProblem?> outcomes = writing.Write(delivery.Device, delivery.Understood);
        foreach (((int index, RowMeaning row), InputProblem? problem) in delivery.Indexed.Zip(outcomes))
        {
            answers[index] =
                problem is null ? new RowAnswer(index + 1, RowStatus.Kept, row.At, [])
                : ReferenceEquals(problem, RowWriting.IsThere)
                    ? new RowAnswer(index + 1, RowStatus.AlreadyThere, row.At, [])
                : new RowAnswer(index + 1, RowStatus.Refused, null, [problem]);
        }

        foreach (RowAnswer refused in answers.Where(a => a.Status is RowStatus.Refused))
        {
            writing.Refuse(delivery.Device, delivery.Rows[refused.Row - 1], refused.Problems);
        }

        return new DeliveryAnswer(
            now,
            delivery.Correction,
            answers,
            writing.Missing(delivery.Device, delivery.Understood)
        );
    }

    private async Task ForgetOldScopesAsync(LogbookContext context)
    {
        long stamp = await DeviceScope.StampAsync(context, CancellationToken.None);
        if (stamp != _stamp)
        {
            _scopes.Clear();
            _stamp = stamp;
        }
    }

    /// <summary>A delivery of which is known what its rows mean; those that mean nothing are answered.</summary>
    private sealed record ReadDelivery(
        Device Device,
        IReadOnlyList<RowText> Rows,
        TimeSpan Correction,
        RowAnswer[] Answers,
        IReadOnlyList<(int Index, RowMeaning Row)> Indexed
    )
    {
        public IReadOnlyList<RowMeaning> Understood { get; } = [.. Indexed.Select(i => i.Row)];

        public static ReadDelivery Of(Device device, Delivery delivery, DeviceScope scope, DateTimeOffset now)
        {
            var clock = DeviceClock.Of(delivery.Clock, delivery.Way, now);
            var answers = new RowAnswer[delivery.Rows.Count];
            List<(int Index, RowMeaning Row)> understood = [];
            for (int i = 0; i < answers.Length; i++)
            {
                var problems = new ProblemList();
                if (RowMeaning.Of(delivery.Rows[i], device, scope, clock, problems) is { } meaning)
                {
                    understood.Add((i, meaning));
                }
                else
                {
                    answers[i] = new RowAnswer(i + 1, RowStatus.Refused, null, problems.Problems);
                }
            }

            return new ReadDelivery(device, delivery.Rows, clock.Correction, answers, understood);
        }
    }
}
