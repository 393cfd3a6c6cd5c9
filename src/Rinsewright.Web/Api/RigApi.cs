using System.ComponentModel;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Routing;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Estimates;
using Rinsewright.Web.Logging;

namespace Rinsewright.Web.Api;

/// <summary>Rigs, what is written of them, and taking it back.</summary>
internal static class RigApi
{
    private const int MostEdits = 200;

    public static void Map(RouteGroupBuilder api)
    {
        RouteGroupBuilder rigs = api.MapGroup("").WithTags("record").AddEndpointFilter<RecordTags>();
        rigs.MapGet("/rigs", AllAsync).WithSummary("All rigs, the most urgent first.");
        rigs.MapGet("/rigs/{id:guid}", OneAsync)
            .WithSummary("One rig and what is left in it.")
            .ProducesProblem(StatusCodes.Status404NotFound);
        rigs.MapGet("/rigs/{id:guid}/what-if", WhatIfAsync)
            .WithSummary("The life of a fresh fill with something changed.")
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        rigs.MapGet("/edits", EditsAsync).WithSummary("The newest edits, newest first.");
        rigs.MapPost("/entries", WriteAsync)
            .WithSummary("Writes a reading, a draw, a change-out, a note or a meter check.")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        rigs.MapPost("/edits/{number:long}/undo", UndoAsync)
            .WithSummary("Takes an edit back; nothing is ever lost.")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        rigs.MapPost("/edits/{number:long}/redo", RedoAsync)
            .WithSummary("Brings an undone edit back.")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
    }

    private static async Task<Ok<IReadOnlyList<RigAnswer>>> AllAsync(
        RigOutlook outlooks,
        Speech speech,
        CancellationToken cancel
    )
    {
        IReadOnlyList<Outlook> all = await outlooks.AllAsync(cancel);
        return TypedResults.Ok<IReadOnlyList<RigAnswer>>([.. all.Select(o => RigAnswer.Of(o, speech))]);
    }

    private static async Task<Results<Ok<RigAnswer>, ProblemHttpResult>> OneAsync(
        Guid id,
        RigOutlook outlooks,
        Speech speech,
        CancellationToken cancel
    ) =>
        await outlooks.OfAsync(new Id<Rig>(id), cancel) is { } outlook
            ? TypedResults.Ok(RigAnswer.Of(outlook, speech))
            : Problems.NotThere("rig");

    private static async Task<Results<Ok<ChangedLife>, ProblemHttpResult>> WhatIfAsync(
        Guid id,
        RigOutlook outlooks,
        WhatIf whatIf,
        Speech speech,
        CancellationToken cancel,
        [Description("Flow, \"8 L/min\"; a bare number in the units of the reader.")] string? flow = null,
        [Description("Water temperature, \"12 °C\".")] string? temperature = null,
        [Description("Resin in the last bed, \"10 L\".")] string? volume = null,
        [Description("Where it is changed, \"10 ppm\".")] string? line = null,
        [Description("Water a week through the bed: now, all, or an amount.")] string? weekly = null
    )
    {
        if (await outlooks.OfAsync(new Id<Rig>(id), cancel) is not { } outlook)
        {
            return Problems.NotThere("rig");
        }

        WhatIfAnswer? answer = whatIf.Of(
            outlook,
            new WhatIfQuestion
            {
                Flow = flow is null ? null : WaterStatement.WithUnit(flow, speech.IsUs ? "gpm" : "L/min"),
                Temperature = temperature,
                Volume = volume,
                Line = line,
                Weekly = weekly,
            },
            out IReadOnlyList<Quantities.InputProblem> problems
        );
        return answer is null
            ? Problems.Refuse(problems)
            : TypedResults.Ok(
                new ChangedLife(
                    WhatIf.InWords(answer, speech),
                    LifeAnswer.Of(answer.Question, answer.Life, outlook.Water!),
                    Range.Of(answer.Now.Liters),
                    answer.Days is { } days ? Range.Of(days) : null
                )
            );
    }

    private static async Task<Ok<List<EditAnswer>>> EditsAsync(LogbookStore store, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        List<Edit> edits = await context
            .Edits.AsNoTracking()
            .OrderByDescending(e => e.Number)
            .Take(MostEdits)
            .ToListAsync(cancel);
        return TypedResults.Ok(edits.ConvertAll(Answer));
    }

    private static async Task<Results<Created<EditAnswer>, ProblemHttpResult>> WriteAsync(
        LogRequest request,
        LogEntries entries,
        [Description("A UUID that names this request: sent again, nothing is written twice.")]
        [FromHeader(Name = "Idempotency-Key")]
            Guid? key,
        CancellationToken cancel
    )
    {
        WriteOutcome outcome = await entries.WriteAsync(request, key, cancel);
        return outcome.Edit is { } edit
            ? TypedResults.Created((string?)null, Answer(edit))
            : Problems.Refuse(outcome.Problems);
    }

    private static async Task<Results<Ok<EditAnswer>, ProblemHttpResult>> UndoAsync(
        long number,
        LogbookStore store,
        CancellationToken cancel,
        string? by = null
    ) => Answer(await store.UndoAsync(new EditDraft(LogEntries.Author(by)), number, cancel));

    private static async Task<Results<Ok<EditAnswer>, ProblemHttpResult>> RedoAsync(
        long number,
        LogbookStore store,
        CancellationToken cancel,
        string? by = null
    ) => Answer(await store.RedoAsync(new EditDraft(LogEntries.Author(by)), number, cancel));

    private static Results<Ok<EditAnswer>, ProblemHttpResult> Answer(WriteOutcome outcome) =>
        outcome.Edit is { } edit ? TypedResults.Ok(Answer(edit)) : Problems.Refuse(outcome.Problems);

    private static EditAnswer Answer(Edit edit) =>
        new(edit.Number, edit.At, edit.Author, edit.Reason, edit.Undoes);
}
