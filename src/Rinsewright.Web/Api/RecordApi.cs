using System.ComponentModel;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Estimates;
using Rinsewright.Web.Logging;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Api;

/// <summary>What the pages Logbook, Water and Money read and write, for programs.</summary>
internal static class RecordApi
{
    private const int UsualDays = 90;
    private const int MostDays = 36_500;

    public static void Map(RouteGroupBuilder api)
    {
        RouteGroupBuilder record = api.MapGroup("")
            .WithTags("record")
            .RequireAuthorization(Access.Record)
            .AddEndpointFilter<RecordTags>();
        record
            .MapGet("/rigs/{id:guid}/readings", ReadingsAsync)
            .WithSummary(
                "Readings of a rig, newest first, each with what it stands for and what may be wrong with it."
            )
            .ProducesProblem(StatusCodes.Status404NotFound);
        record
            .MapPost("/rigs/{id:guid}/water", WaterAsync)
            .WithSummary(
                "States the water of a rig for the present season: the body is a water file (docs/formats/water.md)."
            )
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        record.MapGet("/stock", StockAsync).WithSummary("Media on the shelf.");
        record
            .MapPost("/purchases", PurchaseAsync)
            .WithSummary("Writes what was bought.")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
    }

    private static async Task<Results<Ok<List<ReadingAnswer>>, ProblemHttpResult>> ReadingsAsync(
        Guid id,
        RigOutlook outlooks,
        CancellationToken cancel,
        [Description("How far back, 1 to 36500; 90 if not said.")] int? days = null
    ) =>
        await outlooks.OfAsync(new Id<Rig>(id), cancel) is not { } outlook
            ? Problems.NotThere("rig")
            : TypedResults.Ok(
                outlook
                    .History.Readings.Reverse()
                    .TakeWhile(r =>
                        r.Reading.At >= outlook.Now.AddDays(-Math.Clamp(days ?? UsualDays, 1, MostDays))
                    )
                    .Select(ReadingAnswer.Of)
                    .ToList()
            );

    private static async Task<Results<Created<EditAnswer>, ProblemHttpResult>> WaterAsync(
        Guid id,
        JsonElement? water,
        StatedWater stated,
        CancellationToken cancel,
        string? by = null
    )
    {
        if (water is not { ValueKind: not JsonValueKind.Undefined } file)
        {
            return Problems.Refuse([Problems.NoWater]);
        }

        WriteOutcome? outcome = await stated.WriteAsync(new Id<Rig>(id), file.GetRawText(), by, cancel);
        return outcome is null ? Problems.NotThere("rig") : Written(outcome);
    }

    private static async Task<Ok<List<StockAnswer>>> StockAsync(LogbookStore store, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        IReadOnlyList<StockItem> stock = StockItem.Count(
            await context.Live<Purchase>().ToListAsync(cancel),
            await context.Live<Fill>().ToListAsync(cancel),
            DateOnly.FromDateTime(store.Clock.GetUtcNow().UtcDateTime)
        );
        return TypedResults.Ok(
            stock
                .Select(s => new StockAnswer(
                    s.Purchase.What,
                    double.Round(1e3 * s.Left_m3, 3),
                    s.Purchase.Batch,
                    s.Purchase.KeepsUntil,
                    s.IsPastItsDate
                ))
                .ToList()
        );
    }

    private static async Task<Results<Created<EditAnswer>, ProblemHttpResult>> PurchaseAsync(
        NewPurchase purchase,
        Purchases bought,
        Speech speech,
        CancellationToken cancel
    ) => Written(await bought.WriteAsync(purchase.In(speech), cancel));

    private static Results<Created<EditAnswer>, ProblemHttpResult> Written(WriteOutcome outcome) =>
        outcome.Edit is { } edit
            ? TypedResults.Created(
                (string?)null,
                new EditAnswer(edit.Number, edit.At, edit.Author, edit.Reason, edit.Undoes)
            )
            : Problems.Refuse(outcome.Problems);
}

/// <summary>A medium on the shelf.</summary>
public sealed record StockAnswer(
    string What,
    double Left_L,
    string? Batch,
    DateOnly? KeepsUntil,
    bool IsPastItsDate
);

/// <summary>A reading, what it stands for, and what may be wrong with it.</summary>
public sealed record ReadingAnswer
{
    public required DateTimeOffset At { get; init; }

    [Description("source, inlet, outlet or nozzle.")]
    public required string Place { get; init; }

    public Guid? Stage { get; init; }

    public required string What { get; init; }

    [Description("As it was written, with its unit.")]
    public required string Written { get; init; }

    [Description("True conductance at 25 °C, nine times in ten; null for readings of other things.")]
    public Range? Conductance_uS_cm { get; init; }

    [Description("What may be wrong with it, and what to do.")]
    public required IReadOnlyList<string> Doubts { get; init; }

    internal static ReadingAnswer Of(Records.Trust.TrustedReading reading)
    {
        const double NineInTen = 1.645; // standard deviations
        return new()
        {
            At = reading.Reading.At,
            Place = reading.Reading.Place.ToString().ToLowerInvariant(),
            Stage = reading.Reading.StageId?.Value,
            What = MeasurandText.Names.First(n => n.Measurand == reading.Reading.Measurand).Name,
            Written = $"{reading.Reading.Written} {reading.Reading.Unit}",
            Conductance_uS_cm = reading.Corrected is { Conductance_uS_cm: { } known }
                ? Range.Of(
                    new Interval(
                        Math.Max(0, known.Mean - (NineInTen * known.StandardDeviation)),
                        Math.Max(0, known.Mean),
                        known.Mean + (NineInTen * known.StandardDeviation)
                    )
                )
                : null,
            Doubts = [.. reading.Remarks.Select(r => $"{r.Reason} {r.Advice}")],
        };
    }
}
