using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Net.Sockets;
using System.Security.Cryptography;
using System.Text;
using Rinsewright.Records.Alarms;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Web.Alarms;

/// <summary>
/// Sends messages to an address that somebody gave, as JSON, signed. The address is one of the internet, unless the host was told
/// otherwise: it is checked at each connection, as the name may mean another by then, and no redirect is followed.
/// </summary>
internal sealed class WebhookRoute : IAlarmRoute, IDisposable
{
    /// <summary>Names the message, so that one that comes twice is known.</summary>
    public const string KeyHeader = "Idempotency-Key";

    /// <summary>When it was sent, in seconds since 1970; part of what is signed, so that an old one cannot be sent again.</summary>
    public const string TimeHeader = "Rinsewright-Sent-At";

    /// <summary>HMAC-SHA256 (RFC 2104) of the time, a full stop and the body, by the destination's secret; in base64.</summary>
    public const string SignatureHeader = "Rinsewright-Signature";

    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(10);

    private readonly ServeOptions _options;
    private readonly AlarmWords _words;
    private readonly AlarmLinks _links;
    private readonly HttpClient _http;

    public WebhookRoute(ServeOptions options, AlarmWords words, AlarmLinks links)
    {
        (_options, _words, _links) = (options, words, links);
        _http = new HttpClient(
            new SocketsHttpHandler
            {
                AllowAutoRedirect = false,
                UseCookies = false,
                // A proxy would look the name up itself, and reach what this must not.
                UseProxy = false,
                PooledConnectionLifetime = Patience,
                ConnectCallback = ConnectAsync,
            }
        )
        {
            Timeout = Patience,
        };
    }

    public DeliveryRoute Route => DeliveryRoute.Webhook;

    public async Task SendAsync(DueMessage message, CancellationToken cancel)
    {
        var address = new Uri(message.Destination.Address);
        if (address.Scheme is not "https" && !_options.Alarms.MayWebhooksBePrivate)
        {
            throw new NotDeliveredException("The address is not https.");
        }

        DateTimeOffset now = _options.Clock.GetUtcNow();
        byte[] body = AlarmDocument.Write(message, _words, _links.Make(message.Message.Id), now);
        string time = now.ToUnixTimeSeconds().ToString(CultureInfo.InvariantCulture);
        using var request = new HttpRequestMessage(HttpMethod.Post, address)
        {
            Content = new ByteArrayContent(body)
            {
                Headers = { ContentType = new MediaTypeHeaderValue("application/json") },
            },
        };
        request.Headers.Add(KeyHeader, message.Message.Id.ToString());
        request.Headers.Add(TimeHeader, time);
        request.Headers.Add(SignatureHeader, Sign(message.Destination.Secret ?? [], time, body));
        request.Headers.UserAgent.Add(new ProductInfoHeaderValue("Rinsewright", null));
        try
        {
            using HttpResponseMessage answer = await _http.SendAsync(
                request,
                HttpCompletionOption.ResponseHeadersRead,
                cancel
            );
            if (!answer.IsSuccessStatusCode)
            {
                int status = (int)answer.StatusCode;
                throw new NotDeliveredException(
                    status is >= 300 and < 400
                        ? FormattableString.Invariant($"It answers {status}; no redirect is followed.")
                        : FormattableString.Invariant($"It answers {status}.")
                );
            }
        }
        catch (HttpRequestException problem)
        {
            throw new NotDeliveredException(
                (problem.InnerException as NotDeliveredException)?.Message ?? problem.Message,
                problem
            );
        }
        catch (TaskCanceledException late) when (!cancel.IsCancellationRequested)
        {
            throw new NotDeliveredException("It does not answer within 10 s.", late);
        }
    }

    /// <summary>The signature of a body that is sent at a time.</summary>
    public static string Sign(byte[] secret, string time, byte[] body)
    {
        byte[] signed = [.. Encoding.ASCII.GetBytes(time + "."), .. body];
        return Convert.ToBase64String(HMACSHA256.HashData(secret, signed));
    }

    public void Dispose() => _http.Dispose();

    private async ValueTask<Stream> ConnectAsync(
        SocketsHttpConnectionContext context,
        CancellationToken cancel
    )
    {
        DnsEndPoint asked = context.DnsEndPoint;
        IPAddress[] found = IPAddress.TryParse(asked.Host, out IPAddress? literal)
            ? [literal]
            : await Dns.GetHostAddressesAsync(asked.Host, cancel);
        IPAddress[] allowed = _options.Alarms.MayWebhooksBePrivate
            ? found
            : [.. found.Where(PublicAddress.Is)];
        if (allowed.Length == 0)
        {
            throw new NotDeliveredException(
                "The address leads to this machine or a private network, which is not allowed."
            );
        }

        var socket = new Socket(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        try
        {
            await socket.ConnectAsync(allowed, asked.Port, cancel);
            return new NetworkStream(socket, ownsSocket: true);
        }
        catch
        {
            socket.Dispose();
            throw;
        }
    }
}

/// <summary>Tells addresses of the internet from those that only this machine or its network can reach.</summary>
internal static class PublicAddress
{
    // The special-purpose address registries of IANA (RFC 6890), as of IPv4 what is not globally reachable.
    private static readonly IPNetwork[] NotV4 =
    [
        .. new[]
        {
            "0.0.0.0/8",
            "10.0.0.0/8",
            "100.64.0.0/10",
            "127.0.0.0/8",
            "169.254.0.0/16",
            "172.16.0.0/12",
            "192.0.0.0/24",
            "192.0.2.0/24",
            "192.88.99.0/24",
            "192.168.0.0/16",
            "198.18.0.0/15",
            "198.51.100.0/24",
            "203.0.113.0/24",
            "224.0.0.0/4",
            "240.0.0.0/4",
        }.Select(n => IPNetwork.Parse(n)),
    ];

    // Of IPv6 global unicast alone, without what wraps an address of IPv4 or is for examples.
    private static readonly IPNetwork GlobalV6 = IPNetwork.Parse("2000::/3");
    private static readonly IPNetwork[] NotV6 =
    [
        .. new[] { "2001::/23", "2001:db8::/32", "2002::/16", "3fff::/20" }.Select(n => IPNetwork.Parse(n)),
    ];

    public static bool Is(IPAddress address)
    {
        if (address.IsIPv4MappedToIPv6)
        {
            address = address.MapToIPv4();
        }

        return address.AddressFamily is AddressFamily.InterNetwork
            ? !NotV4.Any(n => n.Contains(address))
            : GlobalV6.Contains(address) && !NotV6.Any(n => n.Contains(address));
    }
}
