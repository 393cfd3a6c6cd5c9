using System.Collections.Concurrent;
using System.Security.Cryptography;
using System.Text;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using Microsoft.Net.Http.Headers;
using Rinsewright.Handouts.Plan;
using Rinsewright.Records.Logbook;
using Rinsewright.Web.Estimates;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.People;
using Rinsewright.Web.Pictures;

namespace Rinsewright.Web.Sharing;

/// <summary>What links open besides their page: the picture on it, and the calendar that is fetched again and again.</summary>
internal static class SharedEndpoints
{
    private const int Days = 180;

    public static void MapShared(this WebApplication app)
    {
        app.MapGet("/shared/{token}/readings.svg", ReadingsAsync)
            .RequireAuthorization(Access.Link)
            .ExcludeFromDescription();
        app.MapGet("/calendar/{file}", CalendarAsync)
            .RequireAuthorization(Access.Link)
            .ExcludeFromDescription();
        app.MapGet(PublicPages.Robots, Robots).RequireAuthorization(Access.Open).ExcludeFromDescription();
    }

    /// <summary>Crawlers may come to the shared pages, so that they read there that these are not to be listed.</summary>
    private static ContentHttpResult Robots() =>
        TypedResults.Text(
            $"User-agent: *\nAllow: {PublicPages.YourWater}\nAllow: /shared/\nAllow: /calendar/\nDisallow: /\n"
        );

    private static async Task<IResult> ReadingsAsync(
        HttpContext context,
        RigOutlook outlooks,
        Speech speech,
        CancellationToken cancel,
        bool dark = false
    ) =>
        SharedDoor.LinkOf(context) is { } link
        && await outlooks.OfAsync(link.RigId, cancel) is { Bed: not null } outlook
            ? PictureEndpoints.Svg(context, new Charts(speech, Ink.Of(dark)).Readings(outlook, Days))
            : TypedResults.NotFound();

    private static async Task<IResult> CalendarAsync(
        HttpContext context,
        CalendarFeed feed,
        HandoutDesk desk,
        CancellationToken cancel
    )
    {
        if (
            SharedDoor.LinkOf(context) is not { } link
            || await feed.OfAsync(desk, link, cancel) is not { } calendar
        )
        {
            return TypedResults.NotFound();
        }

        byte[] content = Encoding.UTF8.GetBytes(calendar);
        string tag = Convert.ToHexStringLower(SHA256.HashData(content))[..32];
        return TypedResults.File(
            content,
            HandoutDesk.Calendar,
            entityTag: new EntityTagHeaderValue($"\"{tag}\"")
        );
    }
}

/// <summary>
/// Calendars of links. An entry keeps its identity and its sequence number while it stays as it is; the number grows when the forecast
/// moves it, and never falls, not after a restart either.
/// </summary>
internal sealed class CalendarFeed
{
    private readonly ConcurrentDictionary<Id<ShareLink>, string> _last = new();

    /// <summary>The calendar as it stands; nothing when the rig is gone.</summary>
    public async Task<string?> OfAsync(HandoutDesk desk, ShareLink link, CancellationToken cancel)
    {
        if (await desk.PlanAsync(link.RigId, hemisphere: null, cancel) is not { Plan: { } plan })
        {
            return null;
        }

        string calendar = PlanCalendar.Write(
            plan,
            PlanCalendar.RevisionAt(plan.At),
            _last.GetValueOrDefault(link.Id)
        );
        _last[link.Id] = calendar;
        return calendar;
    }
}
