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

                    await ForgetOldScopesAsync(context);
                    var writing = new RowWriting(store, context, _marks, now);
                    List<DeliveryAnswer> answers = [];
                    foreach ((Device device, Delivery delivery) in deliveries)
                    {
                        answers.Add(await WriteAsync(context, writing, device, delivery, now));
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

    private async Task<DeliveryAnswer> WriteAsync(
        LogbookContext context,
        RowWriting writing,
        Device device,
        Delivery delivery,
        DateTimeOffset now
    )
    {
        if (!_scopes.TryGetValue(device.Id, out DeviceScope? scope))
        {
            scope = await DeviceScope.LoadAsync(context, device, CancellationToken.None);
            _scopes.Add(device.Id, scope);
        }

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

        IReadOnlyList<InputProblem?> outcomes = await writing.WriteAsync(
            device,
            [.. understood.Select(u => u.Row)]
        );
        foreach (((int index, RowMeaning row), InputProblem? problem) in understood.Zip(outcomes))
        {
            answers[index] =
                problem is null ? new RowAnswer(index + 1, RowStatus.Kept, row.At, [])
                : ReferenceEquals(problem, RowWriting.IsThere)
                    ? new RowAnswer(index + 1, RowStatus.AlreadyThere, row.At, [])
                : new RowAnswer(index + 1, RowStatus.Refused, null, [problem]);
        }

        foreach (RowAnswer refused in answers.Where(a => a.Status is RowStatus.Refused))
        {
            writing.Refuse(device, delivery.Rows[refused.Row - 1], refused.Problems);
        }

        return new DeliveryAnswer(
            now,
            clock.Correction,
            answers,
            await writing.MissingAsync(device, [.. understood.Select(u => u.Row)])
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
}
