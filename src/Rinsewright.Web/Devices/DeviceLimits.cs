using System.Globalization;
using System.Threading.RateLimiting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Rinsewright.Records.Ingest;
using Rinsewright.Web.Api;

namespace Rinsewright.Web.Devices;

/// <summary>How much one device may deliver by HTTP, so that one that has gone wild does not take the place of the others.</summary>
public sealed record DeviceRate
{
    /// <summary>Rows that it may deliver at once, so that what it kept through a week without a network comes in at one go (our choice).</summary>
    public int Most_rows { get; init; } = 2 * Delivery.MostRows;

    /// <summary>Rows that it may deliver for good [1/s] (our choice).</summary>
    public int Steady_rows_s { get; init; } = 10;
}

/// <summary>Counts what each device delivers.</summary>
internal sealed class DeviceLimits : IDisposable
{
    private static readonly TimeSpan Period = TimeSpan.FromSeconds(1);
    private readonly PartitionedRateLimiter<Guid> _limiter;

    public DeviceLimits(DeviceRate rate) =>
        _limiter = PartitionedRateLimiter.Create<Guid, Guid>(device =>
            RateLimitPartition.GetTokenBucketLimiter(
                device,
                _ => new TokenBucketRateLimiterOptions
                {
                    TokenLimit = rate.Most_rows,
                    TokensPerPeriod = rate.Steady_rows_s,
                    ReplenishmentPeriod = Period,
                    QueueLimit = 0,
                }
            )
        );

    /// <summary>Nothing when a delivery may come in, else the answer that says when to send it again.</summary>
    public ProblemHttpResult? Refuse(HttpContext http, Delivery delivery)
    {
        int rows = Math.Max(1, delivery.Rows.Count);
        using RateLimitLease lease = _limiter.AttemptAcquire(DeviceKey.Of(http).Id, rows);
        if (lease.IsAcquired)
        {
            return null;
        }

        TimeSpan wait = lease.TryGetMetadata(MetadataName.RetryAfter, out TimeSpan after) ? after : Period;
        http.Response.Headers.RetryAfter = Math.Ceiling(wait.TotalSeconds)
            .ToString(CultureInfo.InvariantCulture);
        return Problems.Because(
            StatusCodes.Status429TooManyRequests,
            "This device delivers too much",
            "Nothing of it was kept. Send it again after the seconds that Retry-After says."
        );
    }

    public void Dispose() => _limiter.Dispose();
}
