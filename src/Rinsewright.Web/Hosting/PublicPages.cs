using System.Globalization;
using System.Threading.RateLimiting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.RateLimiting;
using Rinsewright.Quantities;
using Rinsewright.Web.Api;

namespace Rinsewright.Web.Hosting;

/// <summary>Pages for visitors who have nothing to do with the record: who may see them, within what, and how often.</summary>
internal static class PublicPages
{
    /// <summary>Address of the page that answers anyone for their own water.</summary>
    public const string YourWater = "/your-water";

    /// <summary>Address at which programs ask the same.</summary>
    public const string YourWaterApi = "/api/your-water";

    /// <summary>Address at which crawlers are told what they may look at.</summary>
    public const string Robots = "/robots.txt";

    /// <summary>Questions that one address may ask in a minute; each may cost a run of the bed model.</summary>
    public const int MostAMinute = 30;

    private static readonly Sentence Title = Sentence.Of("Too many questions from this address");
    private static readonly Sentence Advice = Sentence.Of("Please wait a minute, then ask again.");

    /// <summary>Whether a request is for the variant that may stand within a page of elsewhere.</summary>
    public static bool MayBeFramed(HttpRequest request) =>
        request.Path == YourWater && bool.TryParse(request.Query["embed"], out bool embed) && embed;

    /// <summary>Whether an address answers anyone for their own water.</summary>
    public static bool IsYourWater(PathString path) => path == YourWater || path == YourWaterApi;

    /// <summary>Limits how often one address asks.</summary>
    public static void Limit(RateLimiterOptions limits)
    {
        limits.RejectionStatusCode = StatusCodes.Status429TooManyRequests;
        limits.GlobalLimiter = PartitionedRateLimiter.Create<HttpContext, string>(context =>
            IsYourWater(context.Request.Path) && context.Request.QueryString.HasValue
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
        limits.OnRejected = async (rejected, _) =>
        {
            HttpResponse response = rejected.HttpContext.Response;
            response.Headers.RetryAfter = 60.ToString(CultureInfo.InvariantCulture);
            await (
                rejected.HttpContext.Request.Path == YourWaterApi
                    ? Problems.Because(
                        StatusCodes.Status429TooManyRequests,
                        Title.ToString(),
                        Advice.ToString()
                    )
                    : Faults.Page(
                        rejected.HttpContext,
                        StatusCodes.Status429TooManyRequests,
                        Title,
                        [Advice],
                        YourWater
                    )
            ).ExecuteAsync(rejected.HttpContext);
        };
    }
}
