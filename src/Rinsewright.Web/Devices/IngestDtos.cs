using System.ComponentModel;
using System.Text.Encodings.Web;
using System.Text.Json;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Devices;

/// <summary>One row that a device delivers; texts with their units. See docs/formats/ingest.md.</summary>
public record ReportedRow
{
    [Description(
        "reading: kept as it is; sample: one of a channel, cleaned and condensed; count: of a water meter with pulses."
    )]
    public required string Kind { get; init; }

    [Description("When it was measured: ISO 8601, with an offset or in the rig's time zone.")]
    public string? At { get; init; }

    [Description("Instead of at: how long ago, for devices without a clock. Needs a sequence. [s]")]
    public double? Age_s { get; init; }

    [Description(
        "Goes up by one with each row, so that a row sent twice is kept once and a lost one is missed."
    )]
    public long? Sequence { get; init; }

    [Description("Number of the device's start, if its sequence begins anew with each.")]
    public int? Boot { get; init; }

    [Description("Name or id; not needed where the device reports on one rig.")]
    public string? Rig { get; init; }

    [Description("Name or id.")]
    public string? Stage { get; init; }

    [Description("source, inlet, outlet or nozzle. Left out: the outlet of the stage, else the nozzle.")]
    public string? Place { get; init; }

    [Description("Name or id.")]
    public string? Meter { get; init; }

    [Description("What was measured: tds, conductivity, specific conductance, temperature, pressure, flow …")]
    public string? What { get; init; }

    [Description("The value with its unit, \"3.1 µS/cm\", or a number with the unit beside it.")]
    public string? Value { get; init; }

    public string? Unit { get; init; }

    [Description("Of a count: what the counter shows.")]
    public long? Count { get; init; }

    [Description("Water temperature, \"12 °C\".")]
    public string? Temperature { get; init; }

    [Description("Flow, \"8 L/min\"; 0 says that the water stands.")]
    public string? Flow { get; init; }

    [Description("Of a reading: whether it had stopped moving.")]
    public bool? Settled { get; init; }
}

/// <summary>A row with what the device's clock shows.</summary>
public sealed record ReportedRowWithClock : ReportedRow
{
    [Description(
        "What the device's clock shows as it sends: it is corrected by the difference, up to 7 days."
    )]
    public string? Clock { get; init; }
}

/// <summary>Rows that are delivered together.</summary>
public sealed record ReportedRows
{
    [Description(
        "What the device's clock shows as it sends: it is corrected by the difference, up to 7 days."
    )]
    public string? Clock { get; init; }

    [Description("1 to 10 000 rows.")]
    public required IReadOnlyList<ReportedRow> Rows { get; init; }
}

/// <summary>What became of a row.</summary>
/// <param name="Row">Its number, from 1.</param>
/// <param name="Status">kept, already_there or refused.</param>
/// <param name="At">Its instant by the clock of this program.</param>
/// <param name="Problems">Why it was refused.</param>
public sealed record RowResult(int Row, string Status, DateTimeOffset? At, IReadOnlyList<string> Problems)
{
    internal static RowResult Of(RowAnswer answer) =>
        new(
            answer.Row,
            answer.Status switch
            {
                RowStatus.Kept => "kept",
                RowStatus.AlreadyThere => "already_there",
                _ => "refused",
            },
            answer.At,
            [.. answer.Problems.Select(p => p.ToString())]
        );
}

/// <summary>What became of a delivery, once it is on the disk.</summary>
/// <param name="ReceivedAt">When it came.</param>
/// <param name="ClockCorrection_s">What was added to the device's clock [s].</param>
/// <param name="Kept">Rows that are new.</param>
/// <param name="AlreadyThere">Rows that were there.</param>
/// <param name="Refused">Rows that are not kept; they lie with their reason at /api/devices/refused.</param>
/// <param name="Rows">Row by row.</param>
/// <param name="Missing">Numbers of the sequence that were left out.</param>
public sealed record DeliveryResult(
    DateTimeOffset ReceivedAt,
    double ClockCorrection_s,
    int Kept,
    int AlreadyThere,
    int Refused,
    IReadOnlyList<RowResult> Rows,
    IReadOnlyList<MissingResult> Missing
)
{
    internal static DeliveryResult Of(DeliveryAnswer answer) =>
        new(
            answer.ReceivedAt,
            answer.Correction.TotalSeconds,
            answer.Count(RowStatus.Kept),
            answer.Count(RowStatus.AlreadyThere),
            answer.Count(RowStatus.Refused),
            [.. answer.Rows.Select(RowResult.Of)],
            [.. answer.Missing.Select(m => new MissingResult(m.Boot, m.From, m.To))]
        );

    /// <summary>The answer to a message; of one without a device's key only that it was not kept.</summary>
    internal static byte[] ToJson(DeliveryAnswer? answer) =>
        answer is null
            ? """{"problem":"no device's key"}"""u8.ToArray()
            : JsonSerializer.SerializeToUtf8Bytes(Of(answer), Json);

    private static readonly JsonSerializerOptions Json = new()
    {
        PropertyNamingPolicy = ColumnName.Policy,
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };
}

/// <summary>Numbers of a sequence that have not come.</summary>
public sealed record MissingResult(int Boot, long From, long To);

/// <summary>A device, without its key.</summary>
public sealed record DeviceResult(
    string Name,
    Guid? Rig,
    Guid? Organisation,
    DateTimeOffset AddedAt,
    DateTimeOffset? RevokedAt,
    DateTimeOffset? LastHeardAt
);

/// <summary>A row that was refused.</summary>
public sealed record RefusedResult(
    string Device,
    string Text,
    string Reason,
    long Times,
    DateTimeOffset FirstAt,
    DateTimeOffset LastAt
);

/// <summary>What a device did not deliver.</summary>
public sealed record GapResult(
    IReadOnlyList<MissingResult> Missing,
    IReadOnlyList<SilenceResult> Silences,
    IReadOnlyList<DroppedResult> Dropped
);

/// <summary>Pulses that became no draw, because no hose gives so much in that time.</summary>
public sealed record DroppedResult(DateTimeOffset From, DateTimeOffset To, double Pulses);

/// <summary>A time in which a channel was silent.</summary>
public sealed record SilenceResult(string Kind, Guid? Stage, DateTimeOffset From, DateTimeOffset To);
