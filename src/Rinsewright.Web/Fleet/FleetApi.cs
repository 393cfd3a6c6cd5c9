using System.ComponentModel;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using Rinsewright.Quantities;
using Rinsewright.Records.Fleet;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Api;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Fleet;

/// <summary>The board of all rigs, the rounds of the week, and which van sees to a rig.</summary>
internal static class FleetApi
{
    private const int MostTaken = 1000;

    public static void Map(RouteGroupBuilder api)
    {
        RouteGroupBuilder fleet = api.MapGroup("").WithTags("fleet").RequireAuthorization(Access.Record);
        fleet
            .MapGet("/fleet", BoardAsync)
            .WithSummary("All rigs, the most urgent first, from what is kept in the record.")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        fleet
            .MapGet("/fleet/board.csv", CsvAsync)
            .WithSummary("The same as a table (RFC 4180), all of it.")
            .Produces<Stream>(StatusCodes.Status200OK, "text/csv")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        fleet
            .MapGet("/fleet/rounds", RoundsAsync)
            .WithSummary("The rigs to go to in the coming week, by van and day, and what each van loads.");
        fleet
            .MapPost("/rigs/{id:guid}/place", PlaceAsync)
            .WithSummary("Says where a rig stands and which van or round sees to it.")
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
    }

    private static async Task<Results<Ok<FleetAnswer>, ProblemHttpResult>> BoardAsync(
        FleetDesk desk,
        CancellationToken cancel,
        [Description("Part of a name, site or van.")] string? text = null,
        [Description("past_line, due_this_week, silent, no_water, no_fill or no_forecast.")]
            string? reason = null,
        [Description("Name of a van; empty for rigs that no van sees to.")] string? van = null,
        [Description("Only rigs with a change-out due within so many days.")] double? due = null,
        [Description("How many to pass over.")] int skip = 0,
        [Description("How many at most, up to 1000; 50 if not said.")] int take = FleetDesk.OnPage
    ) =>
        QueryOf(desk, text, reason, van, due, skip, take, out List<InputProblem> problems) is { } query
            ? TypedResults.Ok(FleetAnswer.Of(await desk.PageAsync(query, skip, take, cancel), desk.Now))
            : Problems.Refuse(problems);

    private static async Task<IResult> CsvAsync(
        FleetDesk desk,
        HttpContext http,
        CancellationToken cancel,
        [Description("Part of a name, site or van.")] string? text = null,
        [Description("past_line, due_this_week, silent, no_water, no_fill or no_forecast.")]
            string? reason = null,
        [Description("Name of a van; empty for rigs that no van sees to.")] string? van = null,
        [Description("Only rigs with a change-out due within so many days.")] double? due = null
    )
    {
        if (QueryOf(desk, text, reason, van, due, 0, 1, out List<InputProblem> problems) is not { } query)
        {
            return Problems.Refuse(problems);
        }

        http.Response.Headers.CacheControl = "private, no-cache";
        return TypedResults.Stream(
            output => desk.WriteCsvAsync(query, output, cancel),
            "text/csv",
            "fleet.csv"
        );
    }

    private static async Task<Ok<IReadOnlyList<RoundAnswer>>> RoundsAsync(
        FleetDesk desk,
        CancellationToken cancel,
        [Description("Only this van; empty for rigs that no van sees to; all if not said.")]
            string? van = null
    ) =>
        TypedResults.Ok<IReadOnlyList<RoundAnswer>>([
            .. (await desk.RoundsAsync(van, cancel)).Select(RoundAnswer.Of),
        ]);

    private static async Task<Results<Ok<EditAnswer>, ProblemHttpResult>> PlaceAsync(
        Guid id,
        RigPlace place,
        FleetDesk desk,
        CancellationToken cancel
    )
    {
        WriteOutcome? outcome = await desk.PlaceAsync(
            [id],
            rig =>
                rig with
                {
                    Site = place.Site is null ? rig.Site : FleetDesk.Named(place.Site),
                    Van = place.Van is null ? rig.Van : FleetDesk.Named(place.Van),
                },
            place.By,
            cancel
        );
        return outcome is null ? Problems.NotThere("rig")
            : outcome.Edit is { } edit
                ? TypedResults.Ok(new EditAnswer(edit.Number, edit.At, edit.Author, edit.Reason, edit.Undoes))
            : Problems.Refuse(outcome.Problems);
    }

    private static FleetQuery? QueryOf(
        FleetDesk desk,
        string? text,
        string? reason,
        string? van,
        double? due_days,
        int skip,
        int take,
        out List<InputProblem> problems
    )
    {
        problems = [];
        FleetReasons? named = string.IsNullOrEmpty(reason) ? FleetReasons.None : FleetList.Named(reason);
        if (named is null)
        {
            problems.Add(
                new InputProblem(
                    "reason",
                    reason!,
                    $"one of {string.Join(", ", FleetList.Reasons.Select(FleetList.NameOf))}"
                )
            );
        }

        if (due_days is not (null or >= 0 and <= 36_500))
        {
            problems.Add(
                new InputProblem("due", FormattableString.Invariant($"{due_days}"), "days, 0 to 36500")
            );
        }

        if (skip < 0 || take is < 1 or > MostTaken)
        {
            problems.Add(
                new InputProblem(
                    "skip and take",
                    FormattableString.Invariant($"{skip}, {take}"),
                    $"0 or more, and 1 to {MostTaken}"
                )
            );
        }

        return problems.Count > 0
            ? null
            : new FleetQuery
            {
                Text = text,
                Reason = named!.Value,
                Van = van,
                DueBefore = due_days is { } days ? desk.Now.AddDays(days) : null,
            };
    }
}
