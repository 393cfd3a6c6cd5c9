using System.Collections.Concurrent;
using System.Net;
using System.Net.Sockets;
using Microsoft.AspNetCore.Http;

namespace Rinsewright.Web.Hosting;

/// <summary>Counts wrong tries of each address within a minute: after so many it has to wait.</summary>
internal sealed class WrongTries(int most, TimeProvider clock)
{
    private const int MostAddresses = 10_000;
    private const int NetworkBytes = 8;
    private static readonly TimeSpan Wait = TimeSpan.FromMinutes(1);

    private readonly ConcurrentDictionary<IPAddress, (int Tries, DateTimeOffset Since)> _wrong = new();

    /// <summary>Whether the address of a request may try.</summary>
    public bool MayTry(HttpContext context) =>
        !_wrong.TryGetValue(From(context), out (int Tries, DateTimeOffset Since) wrong)
        || wrong.Tries < most
        || clock.GetUtcNow() - wrong.Since > Wait;

    /// <summary>Its try was right.</summary>
    public void Forget(HttpContext context) => _wrong.TryRemove(From(context), out _);

    /// <summary>Its try was wrong.</summary>
    public void Count(HttpContext context)
    {
        DateTimeOffset now = clock.GetUtcNow();
        if (_wrong.Count >= MostAddresses)
        {
            foreach ((IPAddress address, (int Tries, DateTimeOffset Since) wrong) in _wrong)
            {
                if (now - wrong.Since > Wait)
                {
                    _wrong.TryRemove(address, out _);
                }
            }
        }

        _wrong.AddOrUpdate(
            From(context),
            _ => (1, now),
            (_, wrong) => now - wrong.Since > Wait ? (1, now) : (wrong.Tries + 1, wrong.Since)
        );
    }

    /// <summary>Where a request comes from: of IPv6 the network of /64, which one subscriber has as a rule to choose addresses from.</summary>
    private static IPAddress From(HttpContext context)
    {
        IPAddress address = context.Connection.RemoteIpAddress ?? IPAddress.None;
        if (address.IsIPv4MappedToIPv6)
        {
            return address.MapToIPv4();
        }

        if (address.AddressFamily is not AddressFamily.InterNetworkV6)
        {
            return address;
        }

        byte[] bytes = address.GetAddressBytes();
        bytes.AsSpan(NetworkBytes).Clear();
        return new IPAddress(bytes);
    }
}
