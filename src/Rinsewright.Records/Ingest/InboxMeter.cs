using System.Diagnostics.Metrics;

namespace Rinsewright.Records.Ingest;

/// <summary>What an inbox counts, for whoever listens; nobody listening, it costs nothing.</summary>
internal sealed class InboxMeter : IDisposable
{
    /// <summary>Name of the meter, and of the traces of its writing.</summary>
    public const string Name = "Rinsewright.Ingest";

    private readonly Meter _meter;
    private readonly Counter<long> _rows;
    private readonly Histogram<double> _writing_s;

    /// <summary>Begins to count.</summary>
    /// <param name="scope">The inbox, so that several in one process are told apart.</param>
    /// <param name="waiting">How many deliveries wait.</param>
    public InboxMeter(object scope, Func<int> waiting)
    {
        _meter = new Meter(Name, version: null, tags: null, scope);
        _rows = _meter.CreateCounter<long>(
            "rinsewright.ingest.rows",
            "{row}",
            "Rows that devices delivered, by what became of them and the way they came."
        );
        _writing_s = _meter.CreateHistogram<double>(
            "rinsewright.ingest.write.duration",
            "s",
            "Time to write what waited in one transaction."
        );
        _meter.CreateObservableGauge(
            "rinsewright.ingest.waiting",
            waiting,
            "{delivery}",
            "Deliveries that wait to be written."
        );
    }

    public void Count(Delivery delivery, DeliveryAnswer answer)
    {
        if (!_rows.Enabled)
        {
            return;
        }

        string way = delivery.Way is DeliveryWay.Mqtt ? "mqtt" : "http";
        foreach (RowStatus status in (RowStatus[])[RowStatus.Kept, RowStatus.AlreadyThere, RowStatus.Refused])
        {
            if (answer.Count(status) is > 0 and var count)
            {
                _rows.Add(count, new("status", NameOf(status)), new("way", way));
            }
        }
    }

    public void Wrote(TimeSpan duration) => _writing_s.Record(duration.TotalSeconds);

    public void Dispose() => _meter.Dispose();

    private static string NameOf(RowStatus status) =>
        status switch
        {
            RowStatus.Kept => "kept",
            RowStatus.AlreadyThere => "already_there",
            _ => "refused",
        };
}
