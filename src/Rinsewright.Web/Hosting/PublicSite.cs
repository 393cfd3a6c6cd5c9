using System.Net;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.HttpOverrides;
using IPNetwork = System.Net.IPNetwork;

namespace Rinsewright.Web.Hosting;

/// <summary>
/// The pages under a name of the internet, behind a proxy that encrypts. Only proxies named here are believed when they say
/// who asks and how.
/// </summary>
/// <param name="Address">Where others reach the pages: https, a host, perhaps a port.</param>
/// <param name="Proxies">Networks of the proxies; this machine is always one.</param>
public sealed record PublicSite(Uri Address, IReadOnlyList<IPNetwork> Proxies)
{
    /// <summary>Reads an address; nothing when it could not be one.</summary>
    public static Uri? ParseAddress(string text) =>
        Uri.TryCreate(text, UriKind.Absolute, out Uri? address)
        && string.Equals(address.Scheme, Uri.UriSchemeHttps, StringComparison.Ordinal)
        && address is { PathAndQuery: "/", Fragment: "", UserInfo: "", Host.Length: > 0 }
            ? address
            : null;

    /// <summary>Reads an address or a network of a proxy; nothing when it could not be one.</summary>
    public static IPNetwork? ParseProxy(string text) =>
        IPNetwork.TryParse(text, out IPNetwork network) ? network
        : IPAddress.TryParse(text, out IPAddress? address)
            ? new IPNetwork(address, address.GetAddressBytes().Length * 8)
        : null;

    /// <summary>What of a proxy's words about a request is believed.</summary>
    internal ForwardedHeadersOptions Headers()
    {
        var headers = new ForwardedHeadersOptions
        {
            ForwardedHeaders =
                ForwardedHeaders.XForwardedFor
                | ForwardedHeaders.XForwardedProto
                | ForwardedHeaders.XForwardedHost,
            AllowedHosts = [Address.Host],
        };
        foreach (IPNetwork proxy in Proxies)
        {
            headers.KnownIPNetworks.Add(proxy);
        }

        return headers;
    }
}
