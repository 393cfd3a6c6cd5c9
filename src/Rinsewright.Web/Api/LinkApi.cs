using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.People;
using Rinsewright.Web.Sharing;

namespace Rinsewright.Web.Api;

/// <summary>Links by which others read of a rig: made, listed, revoked.</summary>
internal static class LinkApi
{
    public static void Map(RouteGroupBuilder api)
    {
        RouteGroupBuilder links = api.MapGroup("")
            .WithTags("record")
            .RequireAuthorization(Access.Links)
            .AddEndpointFilter<RecordTags>();
        links
            .MapPost("/rigs/{id:guid}/links", MakeAsync)
            .WithSummary(
                "Makes a link by which others read of a rig. Its address is told here and never again."
            )
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        links.MapGet("/links", ListAsync).WithSummary("Links that are not revoked, the newest first.");
        links
            .MapDelete("/links/{link:guid}", RevokeAsync)
            .WithSummary("Revokes a link: from now on it opens nothing.")
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
    }

    private static async Task<Results<Created<LinkAnswer>, ProblemHttpResult>> MakeAsync(
        Guid id,
        NewLink link,
        LinkDesk desk,
        HttpContext http,
        CancellationToken cancel
    ) =>
        await desk.MakeAsync(new Id<Rig>(id), link, cancel) is not { } outcome ? Problems.NotThere("rig")
        : outcome.Link is { } made
            ? TypedResults.Created(
                (string?)null,
                LinkAnswer.Of(made, $"{http.Request.Scheme}://{http.Request.Host}{outcome.Path}")
            )
        : Problems.Refuse(outcome.Problems);

    private static async Task<Ok<List<LinkAnswer>>> ListAsync(LinkDesk desk, CancellationToken cancel) =>
        TypedResults.Ok(
            (await desk.ListAsync(cancel)).Select(l => LinkAnswer.Of(l.Link, address: null)).ToList()
        );

    private static async Task<Results<Ok<EditAnswer>, ProblemHttpResult>> RevokeAsync(
        Guid link,
        LinkDesk desk,
        CancellationToken cancel,
        string? by = null
    )
    {
        WriteOutcome? outcome = await desk.RevokeAsync(new Id<ShareLink>(link), by, cancel);
        return outcome is null ? Problems.NotThere("link")
            : outcome.Edit is { } edit
                ? TypedResults.Ok(new EditAnswer(edit.Number, edit.At, edit.Author, edit.Reason, edit.Undoes))
            : Problems.Refuse(outcome.Problems);
    }
}

/// <summary>A link by which others read of a rig.</summary>
/// <param name="Id">Its id; revoke it by this.</param>
/// <param name="Rig">Id of the rig.</param>
/// <param name="Kind">page or calendar.</param>
/// <param name="Name">Whom it is for.</param>
/// <param name="ExpiresAt">When it runs out; null for one that stays open until it is revoked.</param>
/// <param name="ShowsCosts">Whether its page shows what the rig costs.</param>
/// <param name="Address">What to send; null but in the answer that made it.</param>
public sealed record LinkAnswer(
    Guid Id,
    Guid Rig,
    string Kind,
    string Name,
    DateTimeOffset? ExpiresAt,
    bool ShowsCosts,
    string? Address
)
{
    internal static LinkAnswer Of(ShareLink link, string? address) =>
        new(
            link.Id.Value,
            link.RigId.Value,
            link.Kind.ToString().ToLowerInvariant(),
            link.Name,
            link.ExpiresAt,
            link.ShowsCosts,
            address
        );
}
