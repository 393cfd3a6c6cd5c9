using System.ComponentModel;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.People;
using Rinsewright.Web.Sharing;

namespace Rinsewright.Web.Api;

/// <summary>Files to hand to others: the life chart, the report, the labels, the calendar of a rig.</summary>
internal static class HandoutApi
{
    public static void Map(RouteGroupBuilder api)
    {
        RouteGroupBuilder handouts = api.MapGroup("/rigs/{id:guid}")
            .WithTags("handouts")
            .RequireAuthorization(Access.Record)
            .AddEndpointFilter<RecordTags>()
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        handouts
            .MapGet("/life-chart", LifeChartAsync)
            .WithSummary("How far a fill of a rig goes, as a chart for the wall.")
            .Produces<Stream>(StatusCodes.Status200OK, HandoutDesk.Pdf, HandoutDesk.SvgPicture);
        handouts
            .MapGet("/report", ReportAsync)
            .WithSummary("The record of a rig over a period, to print or to send.")
            .Produces<Stream>(StatusCodes.Status200OK, HandoutDesk.Pdf, "text/html");
        handouts
            .MapGet("/labels", LabelsAsync)
            .WithSummary("Labels whose codes open the quick log of each stage at the address that is asked.")
            .Produces<Stream>(StatusCodes.Status200OK, HandoutDesk.Pdf, HandoutDesk.SvgPicture);
        handouts
            .MapGet("/calendar", CalendarAsync)
            .WithSummary("What must be done and when, as a calendar file (RFC 5545).")
            .Produces<Stream>(StatusCodes.Status200OK, "text/calendar");
    }

    private static async Task<IResult> LifeChartAsync(
        Guid id,
        HttpContext http,
        HandoutDesk desk,
        CancellationToken cancel,
        [Description("pdf or svg; pdf if not said.")] string? format = null,
        [Description("A4 or Letter; A4 if not said.")] string? paper = null,
        [Description("Flows to draw, \"8 L/min\"; the usual one and half of it if none is said.")]
            string[]? flow = null,
        [Description("Change-out lines to draw, \"10 ppm\"; the rig's own and silica if none is said.")]
            string[]? line = null
    ) =>
        Answer(
            http,
            await desk.LifeChartAsync(new Id<Rig>(id), format, paper, flow ?? [], line ?? [], cancel)
        );

    private static async Task<IResult> ReportAsync(
        Guid id,
        HttpContext http,
        HandoutDesk desk,
        CancellationToken cancel,
        [Description("pdf, or html for a page that needs no other file; pdf if not said.")]
            string? format = null,
        [Description("A4 or Letter; A4 if not said.")] string? paper = null,
        [Description("First day; 90 days before the last if not said.")] string? from = null,
        [Description("Last day; today if not said.")] string? to = null
    ) => Answer(http, await desk.ReportAsync(new Id<Rig>(id), format, paper, from, to, cancel));

    private static async Task<IResult> LabelsAsync(
        Guid id,
        HttpContext http,
        HandoutDesk desk,
        CancellationToken cancel,
        [Description("pdf, or svg for the first page; pdf if not said.")] string? format = null,
        [Description("A4 or Letter; A4 if not said.")] string? paper = null
    ) =>
        Answer(
            http,
            await desk.LabelsAsync(
                new Id<Rig>(id),
                new Uri($"{http.Request.Scheme}://{http.Request.Host}"),
                format,
                paper,
                cancel
            )
        );

    private static async Task<IResult> CalendarAsync(
        Guid id,
        HttpContext http,
        HandoutDesk desk,
        CancellationToken cancel,
        [Description("north, south or tropics, for frost and warmth; by the rig's time zone if not said.")]
            string? hemisphere = null
    ) => Answer(http, await desk.CalendarAsync(new Id<Rig>(id), hemisphere, cancel));

    /// <summary>The file; a page in words for people when it could not be made, problem+json for programs.</summary>
    private static IResult Answer(HttpContext http, Made? made)
    {
        if (made?.Handout is { } handout)
        {
            http.Response.Headers.CacheControl = "private, no-cache";
            bool isPage = handout.MediaType is HandoutDesk.Html;
            if (isPage)
            {
                http.Response.Headers.ContentSecurityPolicy = "default-src 'none'; style-src 'unsafe-inline'";
            }

            return TypedResults.File(handout.Content, handout.MediaType, isPage ? null : handout.Name);
        }

        http.Response.Headers.ETag = default;
        return http.Request.Headers.Accept.ToString().Contains("text/html", StringComparison.Ordinal)
                ? Faults.Page(
                    http,
                    made is null ? StatusCodes.Status404NotFound : StatusCodes.Status422UnprocessableEntity,
                    made is null
                        ? Sentence.Of("There is no such rig")
                        : Sentence.Of("Not made: something is not right"),
                    made is null ? [] : made.Problems.Select(p => Sentence.Written($"{p}")),
                    "/share"
                )
            : made is null ? Problems.NotThere("rig")
            : Problems.Refuse(made.Problems);
    }
}
