using System.Globalization;
using Microsoft.AspNetCore.Http;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Web.Sharing;

/// <summary>
/// Stands before everything that links open: lets in who holds a token that is open, and answers all others alike, whether theirs
/// never was, has run out or was revoked. What is behind it is only read, kept by no cache between and listed by no search engine.
/// </summary>
internal sealed class SharedDoor(LogbookStore store) : IMiddleware
{
    /// <summary>Wrong tokens that an address may send in a minute.</summary>
    public const int MostWrongTries = 10;

    private const string Pages = "/shared";
    private const string Calendars = "/calendar";
    private const string CalendarEnding = ".ics";

    private readonly WrongTries _wrong = new(MostWrongTries, store.Clock);

    /// <summary>The link that a request came in by.</summary>
    public static ShareLink? LinkOf(HttpContext? context) =>
        context?.Items.TryGetValue(typeof(SharedDoor), out object? link) is true ? (ShareLink?)link : null;

    /// <summary>Whether an address is behind the door.</summary>
    public static bool IsBehind(PathString path) =>
        path.StartsWithSegments(Pages, StringComparison.Ordinal)
        || path.StartsWithSegments(Calendars, StringComparison.Ordinal);

    public async Task InvokeAsync(HttpContext context, RequestDelegate next)
    {
        if (!IsBehind(context.Request.Path))
        {
            await next(context);
            return;
        }

        IHeaderDictionary headers = context.Response.Headers;
        headers["X-Robots-Tag"] = "noindex, nofollow, noarchive";
        headers["Referrer-Policy"] = "no-referrer";
        headers.CacheControl = "private, no-cache";
        if (!_wrong.MayTry(context))
        {
            headers.RetryAfter = 60.ToString(CultureInfo.InvariantCulture);
            await AnswerAsync(
                context,
                StatusCodes.Status429TooManyRequests,
                "Too many tries. Please wait a minute."
            );
            return;
        }

        bool isRead = HttpMethods.IsGet(context.Request.Method) || HttpMethods.IsHead(context.Request.Method);
        if (!isRead || await FindAsync(context) is not { } link)
        {
            _wrong.Count(context);
            await AnswerAsync(
                context,
                StatusCodes.Status404NotFound,
                "This link opens nothing: it is not whole, has run out, or was revoked. Ask whoever sent it."
            );
            return;
        }

        context.Items[typeof(SharedDoor)] = link;
        await next(context);
    }

    private async Task<ShareLink?> FindAsync(HttpContext context)
    {
        string[] parts = context.Request.Path.Value!.Split('/', 4);
        string token = parts.Length > 2 ? parts[2] : "";
        LinkKind kind = context.Request.Path.StartsWithSegments(Calendars, StringComparison.Ordinal)
            ? LinkKind.Calendar
            : LinkKind.Page;
        if (kind is LinkKind.Calendar)
        {
            if (!token.EndsWith(CalendarEnding, StringComparison.Ordinal))
            {
                return null;
            }

            token = token[..^CalendarEnding.Length];
        }

        string hash = ShareLink.HashOf(token);
        await using LogbookContext record = store.Read();
        ShareLink? link = await record
            .Live<ShareLink>()
            .FirstOrDefaultAsync(l => l.TokenHash == hash, context.RequestAborted);
        return link?.Kind == kind && link.IsOpenAt(store.Clock.GetUtcNow()) ? link : null;
    }

    private static async Task AnswerAsync(HttpContext context, int status, string text)
    {
        context.Response.StatusCode = status;
        context.Response.ContentType = "text/plain; charset=utf-8";
        await context.Response.WriteAsync(text, context.RequestAborted);
    }
}
