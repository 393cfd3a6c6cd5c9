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
