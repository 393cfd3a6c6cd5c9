using System.Diagnostics;
using System.Text.Json;
using System.Text.RegularExpressions;
using Rinsewright.Compare;

namespace Rinsewright.Pages;

/// <summary>What a browser takes in when it has nothing yet.</summary>
internal sealed record FirstLoad(long Bytes, int Files);

/// <summary>How long a page took, time for time [ms], in order of length.</summary>
internal sealed record PageTimes(string Name, long Bytes, IReadOnlyList<double> Sorted_ms)
{
    public double At(double share) => Sorted_ms[(int)Math.Ceiling(share * Sorted_ms.Count) - 1];
}

/// <summary>The program, serving a record, and a client that asks as a browser does.</summary>
internal sealed partial class Serving : IAsyncDisposable
{
    private const int Patience_ms = 1000;
    private readonly Process _program;
    private readonly HttpClient _http;

    private Serving(Process program, Uri address)
    {
        _program = program;
        _http = new HttpClient { BaseAddress = address };
        // As they come over the wire: the client does not unpack them.
        _http.DefaultRequestHeaders.AcceptEncoding.ParseAdd("gzip, br");
    }

    public static async Task<Serving> StartAsync(string folder, CancellationToken cancel)
    {
        Process program = Process.Start(
            new ProcessStartInfo(Workplace.PathOf("rinsewright"), ["serve", "--port", "0", "--data", folder])
            {
                RedirectStandardOutput = true,
                UseShellExecute = false,
            }
        )!;
        while (await program.StandardOutput.ReadLineAsync(cancel) is { } line)
        {
            if (Address().Match(line) is { Success: true } found)
            {
                return new Serving(program, new Uri(found.Value));
            }
        }

        throw new InvalidOperationException("The program ended before it served.");
    }

    /// <summary>Today and the style, script and pictures that it names.</summary>
    public async Task<FirstLoad> FirstLoadAsync(CancellationToken cancel)
    {
        string page;
        using (var plain = new HttpClient { BaseAddress = _http.BaseAddress })
        {
            page = await plain.GetStringAsync(new Uri("/", UriKind.Relative), cancel);
        }

        List<string> addresses =
        [
            "/",
            .. Linked()
                .Matches(page)
                .Select(m => m.Groups["address"].Value.Replace("&amp;", "&", StringComparison.Ordinal))
                .Distinct(StringComparer.Ordinal),
        ];
        long bytes = 0;
        foreach (string address in addresses)
        {
            bytes += (await GetAsync(address, cancel)).Length;
        }

        return new FirstLoad(bytes, addresses.Count);
    }

    /// <summary>Waits until every forecast is there that Today waits for.</summary>
    public async Task SettleAsync(CancellationToken cancel)
    {
        using var plain = new HttpClient { BaseAddress = _http.BaseAddress };
        while (
            (await plain.GetStringAsync(new Uri("/", UriKind.Relative), cancel)).Contains(
                "data-sharpening",
                StringComparison.Ordinal
            )
        )
        {
            await Task.Delay(TimeSpan.FromSeconds(1), TimeProvider.System, cancel);
        }
    }

    public async Task<PageTimes> TimeAsync(
        string name,
        Func<int, string> address,
        int times,
        CancellationToken cancel
    )
    {
        long bytes = (await GetAsync(address(-1), cancel)).Length;
        var taken = new List<double>();
        for (int i = 0; i < times; i++)
        {
            long start = Stopwatch.GetTimestamp();
            await GetAsync(address(i), cancel);
            taken.Add(Stopwatch.GetElapsedTime(start).TotalMilliseconds);
        }

        taken.Sort();
        return new PageTimes(name, bytes, taken);
    }

    public async Task<JsonElement> JsonAsync(string address, CancellationToken cancel)
    {
        using var plain = new HttpClient { BaseAddress = _http.BaseAddress };
        using JsonDocument answer = JsonDocument.Parse(
            await plain.GetStringAsync(new Uri(address, UriKind.Relative), cancel)
        );
        return answer.RootElement.Clone();
    }

    public async ValueTask DisposeAsync()
    {
        _http.Dispose();
        _program.Kill(entireProcessTree: true);
        await _program.WaitForExitAsync();
        _program.Dispose();
    }

    private async Task<byte[]> GetAsync(string address, CancellationToken cancel)
    {
        using HttpResponseMessage answer = await _http.GetAsync(new Uri(address, UriKind.Relative), cancel);
        answer.EnsureSuccessStatusCode();
        return await answer.Content.ReadAsByteArrayAsync(cancel);
    }

    [GeneratedRegex("http://localhost:[0-9]+/", RegexOptions.ExplicitCapture, Patience_ms)]
    private static partial Regex Address();

    [GeneratedRegex(
        "(href=\"(?=/assets/)|src=\"(?=/))(?<address>[^\"]+)\"",
        RegexOptions.ExplicitCapture,
        Patience_ms
    )]
    private static partial Regex Linked();
}
