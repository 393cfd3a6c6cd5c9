using System.Globalization;
using System.Threading.RateLimiting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.RateLimiting;

namespace Rinsewright.Web.Hosting;

/// <summary>Pages for visitors who have nothing to do with the record: who may see them, within what, and how often.</summary>
internal static class PublicPages
{
    /// <summary>Address of the page that answers anyone for their own water.</summary>
    public const string YourWater = "/your-water";

    /// <summary>Questions that one address may ask in a minute; each may cost a run of the bed model.</summary>
    public const int MostAMinute = 30;

    /// <summary>Whether a request is for the variant that may stand within a page of elsewhere.</summary>
    public static bool MayBeFramed(HttpRequest request) =>
        request.Path == YourWater && bool.TryParse(request.Query["embed"], out bool embed) && embed;

    /// <summary>Limits how often one address asks.</summary>
    public static void Limit(RateLimiterOptions limits)
    {
        limits.RejectionStatusCode = StatusCodes.Status429TooManyRequests;
        limits.GlobalLimiter = PartitionedRateLimiter.Create<HttpContext, string>(context =>
            context.Request.Path == YourWater && context.Request.QueryString.HasValue
                ? RateLimitPartition.GetFixedWindowLimiter(
                    context.Connection.RemoteIpAddress?.ToString() ?? "",
                    _ => new FixedWindowRateLimiterOptions
                    {
                        PermitLimit = MostAMinute,
                        Window = TimeSpan.FromMinutes(1),
                    }
                )
                : RateLimitPartition.GetNoLimiter("")
        );
        limits.OnRejected = async (rejected, cancel) =>
        {
            HttpResponse response = rejected.HttpContext.Response;
            response.Headers.RetryAfter = 60.ToString(CultureInfo.InvariantCulture);
            response.ContentType = "text/plain; charset=utf-8";
            await response.WriteAsync("Too many questions from this address. Please wait a minute.", cancel);
        };
    }
}
