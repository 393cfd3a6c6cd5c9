using System.Net;
using System.Net.Sockets;

namespace Rinsewright.App.Tests.Serving;

/// <summary>
/// A way by TCP that can be cut as a network is: what was sent does not arrive and nobody is told. Mended, it arrives late, as TCP sends
/// it again.
/// </summary>
internal sealed class Passage : IAsyncDisposable
{
    private const int Chunk_bytes = 64 * 1024;
    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly EndPoint _target;
    private readonly CancellationTokenSource _stop = new();
    private readonly Task _work;
    private TaskCompletionSource _open = Opened();

    public Passage(EndPoint target)
    {
        _target = target;
        _listener.Start();
        _work = AcceptAsync();
    }

    /// <summary>The port at which it begins.</summary>
    public int Port => ((IPEndPoint)_listener.LocalEndpoint).Port;

    public void Cut() => Volatile.Write(ref _open, new(TaskCreationOptions.RunContinuationsAsynchronously));

    public void Mend() => Volatile.Read(ref _open).TrySetResult();

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        Mend();
        _listener.Stop();
        await _work.ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        _stop.Dispose();
    }

    private static TaskCompletionSource Opened()
    {
        var open = new TaskCompletionSource();
        open.SetResult();
        return open;
    }

    private async Task AcceptAsync()
    {
        List<Task> ways = [];
        try
        {
            while (true)
            {
                ways.Add(LeadAsync(await _listener.AcceptSocketAsync(_stop.Token)));
            }
        }
        catch (Exception) when (_stop.IsCancellationRequested)
        {
            await Task.WhenAll(ways);
        }
    }

    private async Task LeadAsync(Socket from)
    {
        using Socket near = from;
        using Socket far =
            _target is UnixDomainSocketEndPoint
                ? new Socket(AddressFamily.Unix, SocketType.Stream, ProtocolType.Unspecified)
                : new Socket(SocketType.Stream, ProtocolType.Tcp);
        try
        {
            await PassAsync();
            await far.ConnectAsync(_target, _stop.Token);
            // Where one side ends, so does the other.
            await Task.WhenAny(CarryAsync(near, far), CarryAsync(far, near));
        }
        catch (Exception problem) when (problem is SocketException or OperationCanceledException)
        {
            // The end of this way.
        }
    }

    private async Task CarryAsync(Socket from, Socket to)
    {
        byte[] buffer = new byte[Chunk_bytes];
        try
        {
            while (await from.ReceiveAsync(buffer, _stop.Token) is > 0 and var count)
            {
                await PassAsync();
                await to.SendAsync(buffer.AsMemory(0, count), _stop.Token);
            }

            await PassAsync();
        }
        catch (Exception problem)
            when (problem is SocketException or ObjectDisposedException or OperationCanceledException)
        {
            // The end of this way.
        }
    }

    private Task PassAsync() => Volatile.Read(ref _open).Task.WaitAsync(_stop.Token);
}
