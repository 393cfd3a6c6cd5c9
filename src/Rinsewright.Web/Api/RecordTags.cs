using System.Globalization;
using Microsoft.AspNetCore.Http;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Api;

/// <summary>
/// Gives what is read from the record an ETag that changes with each edit and each day, so that asking again costs
/// nothing while nothing has changed.
/// </summary>
internal sealed class RecordTags(LogbookStore store) : IEndpointFilter
{
    public async ValueTask<object?> InvokeAsync(
        EndpointFilterInvocationContext context,
        EndpointFilterDelegate next
    )
    {
        HttpContext http = context.HttpContext;
        if (!HttpMethods.IsGet(http.Request.Method))
        {
            return await next(context);
        }

        long edit;
        await using (LogbookContext record = store.Read())
        {
            edit = await record.Edits.MaxAsync(e => (long?)e.Number, http.RequestAborted) ?? 0;
        }

        string tag = string.Create(
            CultureInfo.InvariantCulture,
            $"W/\"{edit}-{store.Clock.GetUtcNow():yyyyMMdd}-{http.Request.Cookies[Preferences.UnitsCookie]}\""
        );
        http.Response.Headers.ETag = tag;
        return http.Request.Headers.IfNoneMatch.Contains(tag, StringComparer.Ordinal)
            ? TypedResults.StatusCode(StatusCodes.Status304NotModified)
            : await next(context);
    }
}
