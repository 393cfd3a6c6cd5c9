using System.Net;
using System.Net.Sockets;

namespace Rinsewright.Shared;

/// <summary>
/// Ports of this machine for servers that are told theirs beforehand. Each is given once, and all lie below those that the machine
/// gives to whoever asks for any, so that nobody else comes by one before it is bound.
/// </summary>
internal static class FreePort
{
    private const int Lowest = 10_000;
    private const int OfAProcess = 97;
    private const int Processes = 200;
    private static int _given = -1;

    public static int Next()
    {
        int first = Lowest + (OfAProcess * (Environment.ProcessId % Processes));
        while (true)
        {
            int port = first + Interlocked.Increment(ref _given);
            using var probe = new TcpListener(IPAddress.Loopback, port);
            try
            {
                probe.Start();
                return port;
            }
            catch (SocketException)
            {
                // Somebody else's.
            }
        }
    }
}
