using Microsoft.AspNetCore.Http;
using Rinsewright.Records.Ingest;
using Rinsewright.Web.Api;

namespace Rinsewright.Web.Devices;

/// <summary>Lets only devices in, each by its own key in the header <c>Authorization: Bearer</c>.</summary>
internal sealed class DeviceKey(DeviceRegister register) : IEndpointFilter
{
    private const string Scheme = "Bearer ";

    /// <summary>The device that the request comes from.</summary>
    public static Device Of(HttpContext http) => (Device)http.Items[typeof(DeviceKey)]!;

    public async ValueTask<object?> InvokeAsync(
        EndpointFilterInvocationContext context,
        EndpointFilterDelegate next
    )
    {
        HttpContext http = context.HttpContext;
        string given = http.Request.Headers.Authorization.ToString();
        Device? device = given.StartsWith(Scheme, StringComparison.OrdinalIgnoreCase)
            ? await register.FindAsync(given[Scheme.Length..].Trim(), http.RequestAborted)
            : null;
        if (device is null)
        {
            http.Response.Headers.WWWAuthenticate = "Bearer";
            return Problems.Because(
                StatusCodes.Status401Unauthorized,
                "A device's key is needed",
                "Send it as Authorization: Bearer. 'rinsewright device add' makes one."
            );
        }

        http.Items[typeof(DeviceKey)] = device;
        return await next(context);
    }
}
