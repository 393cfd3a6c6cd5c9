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
using Rinsewright.Web.People;

namespace Rinsewright.Web.Api;

/// <summary>Rigs, what is written of them, and taking it back.</summary>
internal static class RigApi
{
    private const int MostEdits = 200;

    public static void Map(RouteGroupBuilder api)
    {
        RouteGroupBuilder rigs = api.MapGroup("")
            .WithTags("record")
            .RequireAuthorization(Access.Record)
            .AddEndpointFilter<RecordTags>();
        rigs.MapGet("/rigs", AllAsync).WithSummary("All rigs, the most urgent first.");
        rigs.MapGet("/rigs/{id:guid}", OneAsync)
            .WithSummary("One rig and what is left in it.")
            .ProducesProblem(StatusCodes.Status404NotFound);
        rigs.MapGet("/rigs/{id:guid}/what-if", WhatIfAsync)
            .WithSummary("The life of a fresh fill with something changed.")
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        rigs.MapGet("/rigs/{id:guid}/split", SplitAsync)
            .WithSummary(
                "Deionised water for some tasks and not for others: how long the bed lasts, what its fills cost, what dries."
            )
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        rigs.MapGet("/rigs/{id:guid}/pressure", PressureAsync)
            .WithSummary("The pressure from the spigot to the tool, and the flow that the tool gets.")
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        rigs.MapPost("/rigs/{id:guid}/tasks", TaskAsync)
            .WithSummary("Adds a task to the usual week of a rig.")
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
        [Description("Water temperature, \"12 °C\"; a bare number in the units of the reader.")]
            string? temperature = null,
        [Description("Resin in the last bed, \"10 L\"; a bare number in the units of the reader.")]
            string? volume = null,
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
                Flow = speech.Given(flow, "gpm", "L/min"),
                Temperature = speech.Given(temperature, "degF", "degC"),
                Volume = speech.Given(volume, "gal", "L"),
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

    private static async Task<Results<Ok<SplitAnswer>, ProblemHttpResult>> SplitAsync(
        Guid id,
        RigOutlook outlooks,
        TaskSplits splits,
        Speech speech,
        CancellationToken cancel,
        [Description("Tasks that take deionised water, by id; those that do now if none is named.")]
            Guid[]? di = null,
        [Description("Take no task at all when none is named.")] bool none = false
    )
    {
        if (await outlooks.OfAsync(new Id<Rig>(id), cancel) is not { } outlook)
        {
            return Problems.NotThere("rig");
        }

        return
            await splits.OfAsync(outlook, di is { Length: > 0 } || none ? di ?? [] : null, cancel)
                is { } split
            ? TypedResults.Ok(SplitAnswer.Of(split, speech))
            : Problems.Refuse([
                new Quantities.InputProblem(
                    "rig",
                    outlook.History.Rig.Name,
                    "a rig with a usual week, whose bed and water are known"
                ),
            ]);
    }

    private static async Task<Results<Ok<IReadOnlyList<ToolAnswer>>, ProblemHttpResult>> PressureAsync(
        Guid id,
        RigOutlook outlooks,
        CancellationToken cancel,
        [Description("Pressure at the spigot with everything shut, \"3.5 bar\".")] string? supply = null,
        [Description("Flow of the spigot into a bucket, \"26 L/min\".")] string? openFlow = null,
        [Description("Hose from the spigot to the rig, \"5 m\".")] string? hoseBefore = null,
        [Description("Hose from the rig to the tool, \"15 m\".")] string? hoseAfter = null,
        [Description("Inside diameter of the hoses, \"12.7 mm\".")] string? bore = null,
        [Description("Flow of the tool, \"8 L/min\".")] string? toolFlow = null,
        [Description("Pressure at which it passes that flow, \"2 bar\".")] string? toolPressure = null
    )
    {
        if (await outlooks.OfAsync(new Id<Rig>(id), cancel) is not { } outlook)
        {
            return Problems.NotThere("rig");
        }

        return
            RecordedTrain.Pressures(
                outlook.History,
                new PressureQuestion
                {
                    Supply = supply,
                    OpenFlow = openFlow,
                    HoseBefore = hoseBefore,
                    HoseAfter = hoseAfter,
                    Bore = bore,
                    ToolFlow = toolFlow,
                    ToolPressure = toolPressure,
                },
                out IReadOnlyList<Quantities.InputProblem> problems
            )
                is { } answer
            ? TypedResults.Ok<IReadOnlyList<ToolAnswer>>([.. answer.Tools.Select(ToolAnswer.Of)])
            : Problems.Refuse(problems);
    }

    private static async Task<Results<Created<EditAnswer>, ProblemHttpResult>> TaskAsync(
        Guid id,
        NewTask task,
        UsualWeek week,
        Speech speech,
        CancellationToken cancel
    )
    {
        WriteOutcome? outcome = await week.AddAsync(new Id<Rig>(id), task.In(speech), cancel);
        return outcome is null ? Problems.NotThere("rig")
            : outcome.Edit is { } edit ? TypedResults.Created((string?)null, Answer(edit))
            : Problems.Refuse(outcome.Problems);
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
        Speech speech,
        [Description("A UUID that names this request: sent again, nothing is written twice.")]
        [FromHeader(Name = "Idempotency-Key")]
            Guid? key,
        CancellationToken cancel
    )
    {
        WriteOutcome outcome = await entries.WriteAsync(request.In(speech), key, cancel);
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
