using Microsoft.Extensions.DependencyInjection;

namespace Rinsewright.Web.Fleet;

/// <summary>What the board of all rigs needs.</summary>
internal static class FleetSetup
{
    public static void AddFleet(this IServiceCollection services)
    {
        services.AddHostedService<FleetFollowing>();
        services.AddScoped<FleetDesk>();
    }
}
