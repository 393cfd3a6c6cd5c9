using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using OpenTelemetry;
using OpenTelemetry.Exporter;
using OpenTelemetry.Metrics;
using OpenTelemetry.Resources;
using OpenTelemetry.Trace;
using Rinsewright.Records.Ingest;
using Rinsewright.Web.Alarms;
using Rinsewright.Web.Estimates;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.Sharing;

namespace Rinsewright.Web.Operations;

/// <summary>Logs, traces and metrics of a host.</summary>
internal static class Observing
{
    private const string Name = "rinsewright";
    private const string Database = "Npgsql"; // its traces and its meter

    /// <summary>Warnings and errors as plain lines or, with what the program does besides, one JSON object a line on the error stream.</summary>
    public static void AddLog(this ILoggingBuilder logging, ServeOptions options)
    {
        logging.SetMinimumLevel(LogLevel.Warning);
        // The keys of the forms lie in the record's folder, which only its owner reads; there is no other key to wrap them in.
        logging.AddFilter("Microsoft.AspNetCore.DataProtection", LogLevel.Error);
        if (!options.IsLogJson)
        {
            logging.AddProvider(new PlainLog(options.Log));
            return;
        }

        logging.AddFilter("Rinsewright", LogLevel.Information);
        logging.Configure(log => log.ActivityTrackingOptions = ActivityTrackingOptions.TraceId);
        logging.AddJsonConsole(json =>
        {
            json.UseUtcTimestamp = true;
            json.TimestampFormat = "yyyy-MM-dd'T'HH:mm:ss.fff'Z'";
            json.IncludeScopes = true;
        });
        logging.Services.Configure<Microsoft.Extensions.Logging.Console.ConsoleLoggerOptions>(console =>
            console.LogToStandardErrorThreshold = LogLevel.Trace
        );
    }

    /// <summary>Sends traces and metrics, if that was asked for.</summary>
    public static void AddTelemetry(this WebApplicationBuilder builder, Telemetry telemetry)
    {
        if (!telemetry.IsAskedFor)
        {
            return;
        }

        builder.Configuration.AddInMemoryCollection(
            telemetry.Stated.Select(s => new KeyValuePair<string, string?>(s.Key, s.Value))
        );
        OpenTelemetryBuilder sending = builder
            .Services.AddOpenTelemetry()
            .ConfigureResource(resource =>
                resource.AddService(
                    telemetry.Stated.GetValueOrDefault("OTEL_SERVICE_NAME") ?? Name,
                    serviceVersion: typeof(Observing).Assembly.GetName().Version!.ToString(3)
                )
            )
            .WithTracing(tracing =>
                tracing
                    // A link's token stands in its address and is nobody's business; health is asked too often to be of interest.
                    .AddAspNetCoreInstrumentation(requests =>
                        requests.Filter = http =>
                            !SharedDoor.IsBehind(http.Request.Path)
                            && !AlarmLinks.IsBehind(http.Request.Path)
                            && !http.Request.Path.StartsWithSegments(Health.Path, StringComparison.Ordinal)
                    )
                    .AddSource(InboxMeter.Name, Database)
            )
            .WithMetrics(metrics =>
                metrics
                    .AddAspNetCoreInstrumentation()
                    .AddMeter(
                        InboxMeter.Name,
                        ForecastMeter.Name,
                        AlarmMeter.Name,
                        Database,
                        "System.Runtime"
                    )
            );
        if (telemetry.Collector is { } collector)
        {
            sending.UseOtlpExporter(OtlpExportProtocol.HttpProtobuf, collector);
        }
        else
        {
            sending.UseOtlpExporter();
        }
    }
}
