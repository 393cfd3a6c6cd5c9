using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Web.Operations;

/// <summary>What whoever runs the program needs: a log, health, telemetry, an orderly end.</summary>
internal static class OperationsSetup
{
    public static void AddOperations(this WebApplicationBuilder builder, ServeOptions options)
    {
        builder.Logging.AddLog(options);
        builder.AddTelemetry(options.Telemetry);
        builder.Services.AddHealth(options);
        builder.Services.AddHostedService<Lifecycle>();
        if (options.Address.Folder is not null)
        {
            builder.Services.AddHostedService<DailyBackup>();
        }

        builder.Services.Configure<HostOptions>(host => host.ShutdownTimeout = options.Drain);
    }
}
