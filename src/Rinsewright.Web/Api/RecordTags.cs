using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;
using Rinsewright.Web.Estimates;

namespace Rinsewright.Web.Api;

/// <summary>
/// Gives what is read from the record an ETag that changes with each edit, each day and each forecast that is ready, so that
/// asking again costs nothing while nothing has changed.
/// </summary>
internal sealed class RecordTags : IEndpointFilter
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

        RigOutlook outlooks = http.RequestServices.GetRequiredService<RigOutlook>();
        string tag =
            $"W/\"{await outlooks.TagAsync(http.RequestAborted)}-{http.Request.Cookies[Preferences.UnitsCookie]}\"";
        http.Response.Headers.ETag = tag;
        return http.Request.Headers.IfNoneMatch.Contains(tag, StringComparer.Ordinal)
            ? TypedResults.StatusCode(StatusCodes.Status304NotModified)
            : await next(context);
    }
}
