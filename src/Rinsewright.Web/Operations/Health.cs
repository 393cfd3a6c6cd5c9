using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Diagnostics.HealthChecks;
using Microsoft.AspNetCore.Http;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using Microsoft.Extensions.Hosting;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Devices;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Operations;

/// <summary>
/// Whether the program lives (<c>/health/live</c>) and whether it can do its work (<c>/health/ready</c>): the record answers, and
/// the broker is listened to, if there is one.
/// </summary>
internal static class Health
{
    /// <summary>Below it anyone may ask; the answers say nothing of the record.</summary>
    public const string Path = "/health";

    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(2);

    public static void AddHealth(this IServiceCollection services, ServeOptions options)
    {
        IHealthChecksBuilder checks = services
            .AddHealthChecks()
            .AddCheck<Stopping>("serving")
            .AddCheck<Record>("record", timeout: Patience);
        if (options.Mqtt is not null)
        {
            checks.AddCheck<Broker>("broker");
        }
    }

    public static void MapHealth(this WebApplication app)
    {
        app.MapHealthChecks(
                Path + "/live",
                new HealthCheckOptions { Predicate = _ => false, ResponseWriter = WriteAsync }
            )
            .RequireAuthorization(Access.Open);
        app.MapHealthChecks(Path + "/ready", new HealthCheckOptions { ResponseWriter = WriteAsync })
            .RequireAuthorization(Access.Open);
    }

    private static Task WriteAsync(HttpContext http, HealthReport report)
    {
        http.Response.ContentType = "application/json";
        http.Response.Headers.CacheControl = "no-store";
        return http.Response.WriteAsync(
            JsonSerializer.Serialize(
                new
                {
                    status = TextOf(report.Status),
                    checks = report.Entries.ToDictionary(
                        e => e.Key,
                        e => TextOf(e.Value.Status),
                        StringComparer.Ordinal
                    ),
                }
            ),
            http.RequestAborted
        );
    }

    private static string TextOf(HealthStatus status) => status is HealthStatus.Healthy ? "ok" : "failing";

    private sealed class Stopping(IHostApplicationLifetime lifetime) : IHealthCheck
    {
        public Task<HealthCheckResult> CheckHealthAsync(
            HealthCheckContext context,
            CancellationToken cancellationToken = default
        ) =>
            Task.FromResult(
                lifetime.ApplicationStopping.IsCancellationRequested
                    ? HealthCheckResult.Unhealthy()
                    : HealthCheckResult.Healthy()
            );
    }

    private sealed class Record([FromKeyedServices(PeopleHosting.Whole)] LogbookStore store) : IHealthCheck
    {
        public async Task<HealthCheckResult> CheckHealthAsync(
            HealthCheckContext context,
            CancellationToken cancellationToken = default
        )
        {
            // What it throws, or that it takes too long, is reported as failing by whoever asks here.
            await using LogbookContext view = store.Read();
            await view.Edits.Select(e => e.Number).FirstOrDefaultAsync(cancellationToken);
            return HealthCheckResult.Healthy();
        }
    }

    private sealed class Broker(BrokerState broker) : IHealthCheck
    {
        public Task<HealthCheckResult> CheckHealthAsync(
            HealthCheckContext context,
            CancellationToken cancellationToken = default
        ) =>
            Task.FromResult(broker.IsConnected ? HealthCheckResult.Healthy() : HealthCheckResult.Unhealthy());
    }
}
