using Microsoft.AspNetCore.Http;

namespace Rinsewright.Web.Hosting;

/// <summary>
/// Says to the browser what the pages may do: own scripts, styles and pictures only, no frame around them but around
/// the public page that is meant for it, and nothing sent elsewhere.
/// </summary>
internal sealed class SecurityHeaders : IMiddleware
{
    private const string Policy =
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
        + "manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors ";

    public Task InvokeAsync(HttpContext context, RequestDelegate next)
    {
        Apply(context);
        IHeaderDictionary headers = context.Response.Headers;
        context.Response.OnStarting(() =>
        {
            if (headers.CacheControl.Count == 0)
            {
                headers.CacheControl = "no-cache";
            }

            return Task.CompletedTask;
        });
        return next(context);
    }

    /// <summary>Says it; once more where an answer was begun anew.</summary>
    public static void Apply(HttpContext context)
    {
        IHeaderDictionary headers = context.Response.Headers;
        headers.ContentSecurityPolicy = Policy + (PublicPages.MayBeFramed(context.Request) ? "*" : "'none'");
        headers.XContentTypeOptions = "nosniff";
        headers["Referrer-Policy"] = "same-origin";
        headers["Cross-Origin-Opener-Policy"] = "same-origin";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        headers["Permissions-Policy"] = "camera=(), microphone=(), geolocation=(), payment=()";
    }
}
