using Rinsewright.Quantities;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cluster;

/// <summary>A device and what it delivers, on the way to the machine that owns its rig; never its key.</summary>
[GenerateSerializer, Immutable]
internal sealed record DeliveryMessage(
    [property: Id(0)] Guid Device,
    [property: Id(1)] string Name,
    [property: Id(2)] Guid? Rig,
    [property: Id(3)] Guid? Organisation,
    [property: Id(4)] double? PulsesPerLiter,
    [property: Id(5)] long? CounterSize,
    [property: Id(6)] double Pause_s,
    [property: Id(7)] double Interval_s,
    [property: Id(8)] DateTimeOffset AddedAt,
    [property: Id(9)] DeliveryWay Way,
    [property: Id(10)] string? Clock,
    [property: Id(11)] RowMessage[] Rows
)
{
    public static DeliveryMessage Of(Device device, Delivery delivery) =>
        new(
            device.Id,
            device.Name,
            device.RigId?.Value,
            device.OrganisationId?.Value,
            device.PulsesPerLiter,
            device.CounterSize,
            device.Pause_s,
            device.Interval_s,
            device.AddedAt,
            delivery.Way,
            delivery.Clock,
            [.. delivery.Rows.Select(RowMessage.Of)]
        );

    public (Device Device, Delivery Delivery) Read() =>
        (
            new Device
            {
                Id = Device,
                Name = Name,
                KeyName = "",
                KeyDigest = [],
                RigId = Rig is { } rig ? new Id<Rig>(rig) : null,
                OrganisationId = Organisation is { } organisation ? new Id<Organisation>(organisation) : null,
                PulsesPerLiter = PulsesPerLiter,
                CounterSize = CounterSize,
                Pause_s = Pause_s,
                Interval_s = Interval_s,
                AddedAt = AddedAt,
            },
            new Delivery(Way, Clock, [.. Rows.Select(r => r.Read())])
        );
}

/// <summary>A row as it was read.</summary>
[GenerateSerializer, Immutable]
internal sealed record RowMessage(
    [property: Id(0)] string[] Fields,
    [property: Id(1)] string[] Texts,
    [property: Id(2)] string Raw,
    [property: Id(3)] ProblemMessage[] Problems
)
{
    public static RowMessage Of(RowText row)
    {
        string[] fields = [.. RowText.Fields.Where(f => row[f] is not null)];
        return new(
            fields,
            [.. fields.Select(f => row[f]!)],
            row.Raw,
            [.. row.Problems.Select(ProblemMessage.Of)]
        );
    }

    public RowText Read() =>
        RowText.Again(
            Fields.Zip(Texts, (field, text) => new KeyValuePair<string, string>(field, text)),
            Raw,
            [.. Problems.Select(p => p.Read())]
        );
}

/// <summary>A problem of a row.</summary>
[GenerateSerializer, Immutable]
internal sealed record ProblemMessage(
    [property: Id(0)] string Place,
    [property: Id(1)] string Text,
    [property: Id(2)] string Expected
)
{
    public static ProblemMessage Of(InputProblem problem) =>
        new(problem.Place, problem.Text.ToString(), problem.Expected.ToString());

    public InputProblem Read() => new(Place, Text, Sentence.Written(Expected));
}

/// <summary>What became of a delivery; or why the record could not take it.</summary>
[GenerateSerializer, Immutable]
internal sealed record AnswerMessage(
    [property: Id(0)] DateTimeOffset ReceivedAt,
    [property: Id(1)] TimeSpan Correction,
    [property: Id(2)] RowAnswerMessage[] Rows,
    [property: Id(3)] MissingMessage[] Missing,
    [property: Id(4)] UnavailableReason? Unavailable,
    [property: Id(5)] string Why
)
{
    public static AnswerMessage Of(DeliveryAnswer answer) =>
        new(
            answer.ReceivedAt,
            answer.Correction,
            [
                .. answer.Rows.Select(r => new RowAnswerMessage(
                    r.Row,
                    r.Status,
                    r.At,
                    [.. r.Problems.Select(ProblemMessage.Of)]
                )),
            ],
            [.. answer.Missing.Select(m => new MissingMessage(m.Boot, m.From, m.To))],
            null,
            ""
        );

    public static AnswerMessage Of(RecordUnavailableException problem) =>
        new(default, default, [], [], problem.Reason, problem.Message);

    /// <summary>The answer as it was given.</summary>
    /// <exception cref="RecordUnavailableException">The record could not take it.</exception>
    public DeliveryAnswer Read() =>
        Unavailable is { } reason
            ? throw new RecordUnavailableException(reason, Why)
            : new DeliveryAnswer(
                ReceivedAt,
                Correction,
                [
                    .. Rows.Select(r => new RowAnswer(
                        r.Row,
                        r.Status,
                        r.At,
                        [.. r.Problems.Select(p => p.Read())]
                    )),
                ],
                [.. Missing.Select(m => new MissingRows(m.Boot, m.From, m.To))]
            );
}

/// <summary>What became of a row.</summary>
[GenerateSerializer, Immutable]
internal sealed record RowAnswerMessage(
    [property: Id(0)] int Row,
    [property: Id(1)] RowStatus Status,
    [property: Id(2)] DateTimeOffset? At,
    [property: Id(3)] ProblemMessage[] Problems
);

/// <summary>Numbers that were left out.</summary>
[GenerateSerializer, Immutable]
internal sealed record MissingMessage(
    [property: Id(0)] int Boot,
    [property: Id(1)] long From,
    [property: Id(2)] long To
);
