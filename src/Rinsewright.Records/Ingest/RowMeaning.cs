using System.Globalization;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Ingest;

/// <summary>A channel as a row names it.</summary>
internal sealed record ChannelName(
    RowKind Kind,
    Id<Rig> Rig,
    Place Place,
    Id<Stage>? Stage,
    Id<Meter>? Meter,
    Measurand? What
)
{
    public string Signature { get; } =
        string.Create(
            CultureInfo.InvariantCulture,
            $"{(int)Kind}/{Rig.Value:N}/{(int)Place}/{Stage?.Value:N}/{Meter?.Value:N}/{(int?)What}"
        );
}

/// <summary>A row of which everything is understood.</summary>
internal sealed record RowMeaning(
    ChannelName Channel,
    int Boot,
    long? Sequence,
    bool IsInstantStated,
    DateTimeOffset DeviceAt,
    DateTimeOffset At,
    double Value,
    string Written,
    string Unit,
    bool IsBelowLimit,
    double? Temperature_K,
    double? Flow_m3_s,
    bool? IsSettled
)
{
    private const long MostCount = 1L << 52; // counts are kept as doubles

    /// <summary>Understands a row, or says everything that is wrong with it.</summary>
    public static RowMeaning? Of(
        RowText row,
        Device device,
        DeviceScope scope,
        DeviceClock clock,
        ProblemList problems
    )
    {
        foreach (InputProblem problem in row.Problems)
        {
            problems.Add(problem);
        }

        RowKind? kind = row["kind"] switch
        {
            "reading" => RowKind.Reading,
            "sample" => RowKind.Sample,
            "count" => RowKind.Count,
            _ => null,
        };
        problems.Require(kind is not null, "kind", $"{row["kind"]}", "reading, sample or count");
        long? sequence = Whole(row, "sequence", long.MaxValue, problems);
        long? boot = Whole(row, "boot", int.MaxValue, problems);
        problems.Require(
            sequence is not null || row["at"] is not null,
            "sequence",
            $"",
            "a sequence or an instant (at): without either, a row that is sent twice would be kept twice"
        );
        problems.Require(boot is null || sequence is not null, "boot", $"{boot}", "a sequence beside it");
        Rig? rig = scope.FindRig(row["rig"], problems);
        if (rig is null || kind is null)
        {
            return null;
        }

        Stage? stage = row["stage"] is { } stageName ? scope.FindStage(rig, stageName, problems) : null;
        Meter? meter = row["meter"] is { } meterName ? scope.FindMeter(meterName, problems) : null;
        (DateTimeOffset Stated, DateTimeOffset At)? at = clock.Place(row, rig, problems);
        double? temperature = WrittenText
            .Quantity<Temperature>("temperature", row["temperature"], problems)
            ?.Kelvins;
        double? flow = WrittenText.Quantity<VolumeFlow>("flow", row["flow"], problems)?.CubicMetersPerSecond;
        bool? settled = Truth(row, problems);
        (WrittenValue Value, Measurand? What)? value =
            kind is RowKind.Count ? CountOf(row, device, problems) : ValueOf(row, kind.Value, problems);
        Place place = PlaceOf(row, stage, kind.Value, problems);
        if (problems.Problems.Count > 0 || value is not { } known || at is not { } placed)
        {
            return null;
        }

        return new RowMeaning(
            new ChannelName(kind.Value, rig.Id, place, stage?.Id, meter?.Id, known.What),
            (int)(boot ?? 0),
            sequence,
            row["at"] is not null,
            placed.Stated,
            placed.At,
            known.Value.Value_SI,
            known.Value.Written,
            known.Value.Unit,
            known.Value.IsBelowLimit,
            temperature,
            flow,
            settled
        );
    }

    /// <summary>The entry that a row of kind reading is.</summary>
    public Reading ToReading(Id<Reading> id) =>
        new()
        {
            Id = id,
            RigId = Channel.Rig,
            Place = Channel.Place,
            StageId = Channel.Stage,
            MeterId = Channel.Meter,
            At = At,
            Measurand = Channel.What!.Value,
            Value_SI = Value,
            Written = Written,
            Unit = Unit,
            IsBelowLimit = IsBelowLimit,
            Temperature_K = Temperature_K,
            Flow_m3_s = Flow_m3_s,
            IsSettled = IsSettled,
        };

    private static (WrittenValue, Measurand?)? ValueOf(RowText row, RowKind kind, ProblemList problems)
    {
        problems.Require(row["count"] is null, "count", $"{row["count"]}", "a value instead, or kind count");
        Measurand? what = WrittenText.WhatOf("what", row["what"] ?? "", problems);
        string text = row["unit"] is { } unit ? $"{row["value"]} {unit}" : row["value"] ?? "";
        if (
            what is not { } measurand
            || WrittenText.Value("value", measurand, text, problems) is not { } value
        )
        {
            return null;
        }

        problems.Require(
            kind is RowKind.Reading || !value.IsBelowLimit,
            "value",
            $"{text}",
            "a value: a limit cannot be averaged; send it as a reading"
        );
        return (value, measurand);
    }

    private static (WrittenValue, Measurand?)? CountOf(RowText row, Device device, ProblemList problems)
    {
        problems.Require(row["value"] is null, "value", $"{row["value"]}", "a count instead");
        problems.Require(
            device.PulsesPerLiter is not null,
            "count",
            $"{row["count"]}",
            "a device with pulses per litre: it was added without them"
        );
        long? count = Whole(row, "count", MostCount, problems);
        problems.Require(row["count"] is not null, "count", $"", "what the counter shows");
        problems.Require(
            count is null || device.CounterSize is not { } size || count < size,
            "count",
            $"{count}",
            $"less than {device.CounterSize}, at which the counter starts again"
        );
        return count is { } pulses
            ? (new WrittenValue(pulses, row["count"]!, "pulses", IsBelowLimit: false), null)
            : null;
    }

    private static Place PlaceOf(RowText row, Stage? stage, RowKind kind, ProblemList problems)
    {
        string name = row["place"] ?? (stage is null ? nameof(Place.Nozzle) : nameof(Place.Outlet));
        bool isPlace =
            Enum.TryParse(name, ignoreCase: true, out Place place)
            && Enum.IsDefined(place)
            && !char.IsAsciiDigit(name[0]);
        problems.Require(isPlace, "place", $"{name}", "source, inlet, outlet or nozzle");
        problems.Require(
            !isPlace || row["stage"] is not null || place is Place.Source or Place.Nozzle,
            "stage",
            $"",
            "the stage whose inlet or outlet it is"
        );
        problems.Require(
            !isPlace || kind is not RowKind.Count || place is Place.Outlet or Place.Nozzle,
            "place",
            $"{name}",
            "outlet or nozzle: a draw is counted after the last stage that it passed"
        );
        return place;
    }

    private static long? Whole(RowText row, string field, long most, ProblemList problems)
    {
        if (row[field] is not { } text)
        {
            return null;
        }

        bool isWhole =
            long.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out long number)
            && number <= most;
        problems.Require(isWhole, field, $"{text}", "a whole number, 0 or more");
        return isWhole ? number : null;
    }

    private static bool? Truth(RowText row, ProblemList problems)
    {
        bool? settled = row["settled"]?.ToLowerInvariant() switch
        {
            "yes" or "true" or "1" => true,
            "no" or "false" or "0" => false,
            _ => null,
        };
        problems.Require(
            row["settled"] is null || settled is not null,
            "settled",
            $"{row["settled"]}",
            "yes or no"
        );
        return settled;
    }
}
