using System.Diagnostics.CodeAnalysis;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Logging;

/// <summary>Turns requests into entries of the record, or names everything that is wrong with them.</summary>
public sealed class LogEntries(LogbookStore store)
{
    private const string Anyone = "someone";

    /// <summary>Writes a request as one edit; sending the same key again writes nothing more.</summary>
    public async Task<WriteOutcome> WriteAsync(
        LogRequest request,
        Guid? idempotencyKey,
        CancellationToken cancel
    )
    {
        var problems = new ProblemList();
        IReadOnlyList<Entry> entries;
        await using (LogbookContext context = store.Read())
        {
            entries = await MakeAsync(context, request, problems, cancel);
        }

        return problems.Problems.Count > 0
            ? new WriteOutcome(null, problems.Problems)
            : await store.WriteAsync(new EditDraft(Author(request.By), "", idempotencyKey), entries, cancel);
    }

    internal static string Author(string? by) => string.IsNullOrWhiteSpace(by) ? Anyone : by.Trim();

    private async Task<IReadOnlyList<Entry>> MakeAsync(
        LogbookContext context,
        LogRequest request,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        RecordNames names = await RecordNames.LoadAsync(context, cancel);
        Stage? stage = names.Stages.FirstOrDefault(s => s.Id.Value == request.Stage);
        problems.Require(
            request.Stage is null || stage is not null,
            "stage",
            $"{request.Stage}",
            "a stage of the record"
        );
        Id<Rig>? rigId = stage?.RigId ?? (request.Rig is { } id ? new Id<Rig>(id) : null);
        Rig? rig =
            rigId is { } known ? names.Rigs.FirstOrDefault(r => r.Id == known)
            : names.Rigs is [var only] ? only
            : null;
        problems.Require(rig is not null, "rig", $"{request.Rig}", "a rig of the record");
        DateTimeOffset at = WrittenText.At("at", request.At, rig, store.Clock, problems);
        if (rig is null || problems.Problems.Count > 0)
        {
            return [];
        }

        return request.Kind switch
        {
            "reading" => await ReadingAsync(context, request, rig, stage, names, at, problems, cancel),
            "draw" => Draw(request, rig, stage, names, at, problems),
            "change" => await ChangeAsync(context, request, stage, at, problems, cancel),
            "note" => Note(request, rig, stage, at),
            "check" => Check(request, names, at, problems),
            _ => Refuse(problems, "kind", request.Kind, "reading, draw, change, note or check"),
        };
    }

    private async Task<IReadOnlyList<Entry>> ReadingAsync(
        LogbookContext context,
        LogRequest request,
        Rig rig,
        Stage? stage,
        RecordNames names,
        DateTimeOffset at,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        Measurand? measurand = WrittenText.WhatOf("what", request.What ?? "tds", problems);
        Place place = stage is null ? Place.Nozzle : Place.Outlet;
        if (request.Place is { Length: > 0 } said && !Enum.TryParse(said, ignoreCase: true, out place))
        {
            problems.Add("place", said, "source, inlet, outlet or nozzle");
        }

        string text = (request.Value ?? "").Trim();
        if (measurand is Measurand.DissolvedSolids)
        {
            text = Handouts.Lives.WaterStatement.WithUnit(text, "ppm");
        }

        Temperature? temperature = WrittenText.Quantity<Temperature>(
            "temperature",
            request.Temperature,
            problems
        );
        VolumeFlow? flow = WrittenText.Quantity<VolumeFlow>("flow", request.Flow, problems);
        if (measurand is not { } known || WrittenText.Value("value", known, text, problems) is not { } value)
        {
            return [];
        }

        return
        [
            new Reading
            {
                Id = store.Ids.Next<Reading>(),
                RigId = rig.Id,
                Place = place,
                StageId = place is Place.Source or Place.Nozzle ? null : stage?.Id,
                MeterId = (await MeterOfAsync(context, request, rig, known, names, problems, cancel))?.Id,
                At = at,
                Measurand = known,
                Value_SI = value.Value_SI,
                Written = value.Written,
                Unit = value.Unit,
                IsBelowLimit = value.IsBelowLimit,
                Temperature_K = temperature?.Kelvins,
                Flow_m3_s = flow?.CubicMetersPerSecond,
            },
        ];
    }

    private IReadOnlyList<Entry> Draw(
        LogRequest request,
        Rig rig,
        Stage? stage,
        RecordNames names,
        DateTimeOffset at,
        ProblemList problems
    )
    {
        WashTask? task = names.Tasks.FirstOrDefault(t => t.Id.Value == request.Task);
        problems.Require(
            request.Task is null || task is not null,
            "task",
            $"{request.Task}",
            "a task of the record"
        );
        string? text = string.IsNullOrWhiteSpace(request.Value)
            ? null
            : Handouts.Lives.WaterStatement.WithUnit(request.Value.Trim(), "L");
        problems.Require(
            text is not null || task is not null,
            "value",
            $"",
            "a volume such as 40 L, or a task"
        );
        Volume? measured = WrittenText.Quantity<Volume>("value", text, problems);
        VolumeFlow? flow = WrittenText.Quantity<VolumeFlow>("flow", request.Flow, problems);
        return problems.Problems.Count > 0
            ? []
            :
            [
                Records.Logbook.Draw.Of(
                    store.Ids.Next<Draw>(),
                    rig.Id,
                    stage?.Id,
                    task,
                    measured,
                    text,
                    flow,
                    request.Washes,
                    at
                ),
            ];
    }

    private async Task<IReadOnlyList<Entry>> ChangeAsync(
        LogbookContext context,
        LogRequest request,
        Stage? stage,
        DateTimeOffset at,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        if (stage is null)
        {
            return Refuse(problems, "stage", "", "the stage that got a new fill");
        }

        Volume? size = WrittenText.Quantity<Volume>("value", request.Value, problems);
        if (problems.Problems.Count > 0)
        {
            return [];
        }

        List<Fill> fills = await context.Live<Fill>().ToListAsync(cancel);
        List<Fill> here = [.. fills.Where(f => f.StageId == stage.Id)];
        if (here is [{ TakenOutAt: null } only] && at < only.PutInAt)
        {
            // The fill with which the rig was set up counts from that day, unless it is said when it was put in.
            return
            [
                only with
                {
                    PutInAt = at,
                    Medium = string.IsNullOrWhiteSpace(request.Medium) ? only.Medium : request.Medium.Trim(),
                    Volume_m3 = size?.CubicMeters ?? only.Volume_m3,
                    VolumeWritten = size is null ? only.VolumeWritten : request.Value,
                },
            ];
        }

        string? before = here.Where(f => f.TakenOutAt is null).MaxBy(f => f.PutInAt)?.Medium;
        return ChangeOut.Of(
            store.Ids,
            stage,
            string.IsNullOrWhiteSpace(request.Medium) ? before ?? "" : request.Medium.Trim(),
            batch: null,
            size,
            request.Value,
            at,
            fills,
            await context.Live<Purchase>().ToListAsync(cancel)
        );
    }

    private IReadOnlyList<Entry> Note(LogRequest request, Rig rig, Stage? stage, DateTimeOffset at) =>
        [
            new Note
            {
                Id = store.Ids.Next<Note>(),
                RigId = rig.Id,
                StageId = stage?.Id,
                At = at,
                Text = request.Text ?? "",
            },
        ];

    private IReadOnlyList<Entry> Check(
        LogRequest request,
        RecordNames names,
        DateTimeOffset at,
        ProblemList problems
    )
    {
        Meter? meter = names.Meters.FirstOrDefault(m => m.Id.Value == request.Meter);
        if (meter is null)
        {
            return Refuse(problems, "meter", $"{request.Meter}", "a meter of the record");
        }

        WrittenValue? shown = WrittenText.Value("value", meter.Measurand, request.Value ?? "", problems);
        WrittenValue? reference = WrittenText.Value(
            "reference",
            meter.Measurand,
            request.Reference ?? "",
            problems
        );
        Temperature? temperature = WrittenText.Quantity<Temperature>(
            "temperature",
            request.Temperature,
            problems
        );
        return shown is null || reference is null || problems.Problems.Count > 0
            ? []
            :
            [
                new BenchCheck
                {
                    Id = store.Ids.Next<BenchCheck>(),
                    MeterId = meter.Id,
                    At = at,
                    Solution = string.IsNullOrWhiteSpace(request.Medium)
                        ? request.Reference!
                        : request.Medium,
                    Reference_SI = reference.Value_SI,
                    Shown_SI = shown.Value_SI,
                    ShownWritten = shown.Written,
                    Unit = shown.Unit,
                    Temperature_K = temperature?.Kelvins,
                },
            ];
    }

    /// <summary>
    /// The meter that was named, else the only one that measures this, else that with which it was last read at this rig; those of
    /// devices are in nobody's hand.
    /// </summary>
    private static async Task<Meter?> MeterOfAsync(
        LogbookContext context,
        LogRequest request,
        Rig rig,
        Measurand measurand,
        RecordNames names,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        if (request.Meter is { } id)
        {
            Meter? named = names.Meters.FirstOrDefault(m => m.Id.Value == id);
            problems.Require(named is not null, "meter", $"{id}", "a meter of the record");
            return named;
        }

        List<Meter> fitting = [.. names.Meters.Where(m => m.Measurand == measurand)];
        if (fitting is [] or [_])
        {
            return fitting.FirstOrDefault();
        }

        List<Id<Meter>?> fixedThere = await context
            .Set<DeviceChannel>()
            .Where(c => c.MeterId != null)
            .Select(c => c.MeterId)
            .ToListAsync(cancel);
        List<Id<Meter>?> handheld =
        [
            .. fitting.Select(m => (Id<Meter>?)m.Id).Where(m => !fixedThere.Contains(m)),
        ];
        Id<Meter>? last = await context
            .Live<Reading>()
            .Where(r => r.RigId == rig.Id && r.Measurand == measurand && handheld.Contains(r.MeterId))
            .OrderByDescending(r => r.At)
            .Select(r => r.MeterId)
            .FirstOrDefaultAsync(cancel);
        return fitting.Find(m => m.Id == last);
    }

    private static IReadOnlyList<Entry> Refuse(
        ProblemList problems,
        string place,
        string text,
        [ConstantExpected] string expected
    )
    {
        problems.Add(place, text, expected);
        return [];
    }
}
