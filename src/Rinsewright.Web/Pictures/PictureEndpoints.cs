using System.Text;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Api;
using Rinsewright.Web.Estimates;

namespace Rinsewright.Web.Pictures;

/// <summary>The pictures of the pages, as SVG.</summary>
internal static class PictureEndpoints
{
    public static void MapPictures(this WebApplication app)
    {
        RouteGroupBuilder pictures = app.MapGroup("/pictures").ExcludeFromDescription();
        pictures.MapGet("/bed/{rig:guid}", BedAsync);
        pictures.MapGet("/breakthrough/{rig:guid}", BreakthroughAsync);
        pictures.MapGet("/readings/{rig:guid}", ReadingsAsync);
    }

    /// <summary>An SVG that is shown as a picture: it runs nothing and loads nothing, and its own colours are let in.</summary>
    public static IResult Svg(HttpContext context, string svg)
    {
        context.Response.Headers.ContentSecurityPolicy = "default-src 'none'; style-src 'unsafe-inline'";
        context.Response.Headers.CacheControl = "private, no-cache";
        return TypedResults.Content(svg, "image/svg+xml", Encoding.UTF8);
    }

    private static async Task<IResult> BedAsync(
        Guid rig,
        HttpContext context,
        RigOutlook outlooks,
        Speech speech,
        CancellationToken cancel,
        double? at = null,
        bool dark = false
    )
    {
        Outlook? outlook = await outlooks.OfAsync(new Id<Rig>(rig), cancel);
        return outlook is { Life: { } life, Question: { } question }
            ? Svg(
                context,
                new BedPicture(
                    question,
                    at is { } share ? life.AtShare(share) : life.At(outlook.Drawn_L),
                    speech,
                    Ink.Of(dark)
                ).ToSvg()
            )
            : Problems.NotThere("rig");
    }

    private static async Task<IResult> BreakthroughAsync(
        Guid rig,
        HttpContext context,
        RigOutlook outlooks,
        Speech speech,
        CancellationToken cancel,
        bool dark = false
    )
    {
        Outlook? outlook = await outlooks.OfAsync(new Id<Rig>(rig), cancel);
        return outlook?.Life is null
            ? Problems.NotThere("rig")
            : Svg(context, new Charts(speech, Ink.Of(dark)).Breakthrough(outlook));
    }

    private static async Task<IResult> ReadingsAsync(
        Guid rig,
        HttpContext context,
        LogbookStore store,
        Speech speech,
        CancellationToken cancel,
        int days = 180,
        bool dark = false
    )
    {
        await using LogbookContext record = store.Read();
        DateTimeOffset now = store.Clock.GetUtcNow();
        if (
            await RigRecord.LoadAsync(record, new Id<Rig>(rig), now, cancel) is not { Bed: { } bed } found
            || days is < 1 or > 36500
        )
        {
            return Problems.NotThere("rig");
        }

        DateTimeOffset since = now.AddDays(-days);
        List<Reading> readings = await record
            .Live<Reading>()
            .Where(r =>
                r.StageId == bed.Id
                && r.Place == Place.Outlet
                && r.At >= since
                && (r.Measurand == Measurand.DissolvedSolids || r.Measurand == Measurand.SpecificConductance)
            )
            .OrderBy(r => r.At)
            .ToListAsync(cancel);
        List<Fill> fills = await record
            .Live<Fill>()
            .Where(f => f.StageId == bed.Id && f.PutInAt >= since)
            .OrderBy(f => f.PutInAt)
            .ToListAsync(cancel);
        double? line = 1e4 * found.MeterFactor * bed.ChangeOutLine_S_m;
        return Svg(context, new Charts(speech, Ink.Of(dark)).Readings(found, readings, fills, line));
    }
}
