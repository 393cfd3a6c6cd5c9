using System.Collections.Concurrent;
using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Text;

namespace Rinsewright.Load;

/// <summary>How long the answers took.</summary>
internal sealed record Answers(int Kept, int Failed, double Rate_rows_s, IReadOnlyList<double> Sorted_ms)
{
    public override string ToString() =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"{Kept} rows acknowledged ({Rate_rows_s:0} a second), {Failed} failed; answers in ms: median {At(0.5):0.0}, p95 {At(0.95):0.0}, p99 {At(0.99):0.0}, longest {At(1):0.0}"
        );

    private double At(double share) =>
        Sorted_ms.Count == 0 ? double.NaN : Sorted_ms[(int)Math.Ceiling(share * Sorted_ms.Count) - 1];
}

/// <summary>
/// Sends rows at their times, whether the ones before were answered or not, and measures from the time at which a row was due: a server
/// that falls behind cannot hide it.
/// </summary>
internal static class Reporting
{
    private static readonly TimeSpan WarmUp = TimeSpan.FromSeconds(10);

    public static async Task<Answers> RunAsync(
        IReadOnlyList<string> keys,
        IReadOnlyList<Uri> servers,
        double rate_rows_s,
        TimeSpan duration,
        CancellationToken cancel
    )
    {
        using var http = new HttpClient(
            new SocketsHttpHandler
            {
                MaxConnectionsPerServer = 256,
                PooledConnectionLifetime = Timeout.InfiniteTimeSpan,
            }
        )
        {
            Timeout = TimeSpan.FromSeconds(30),
        };
        var taken = new ConcurrentBag<(bool IsKept, double Due_s, double Took_ms)>();
        List<Task> sending = [];
        double total_s = (duration + WarmUp).TotalSeconds;
        // So that a later run of the same rigs sends rows that are new.
        long first = TimeProvider.System.GetUtcNow().ToUnixTimeSeconds();
        long start = Stopwatch.GetTimestamp();
        for (int i = 0; i / rate_rows_s < total_s; i++)
        {
            double due_s = i / rate_rows_s;
            TimeSpan early = TimeSpan.FromSeconds(due_s) - Stopwatch.GetElapsedTime(start);
            if (early > TimeSpan.Zero)
            {
                await Task.Delay(early, TimeProvider.System, cancel);
            }

            string key = keys[i % keys.Count];
            Uri server = servers[i % servers.Count];
            long number = first + (i / keys.Count);
            sending.Add(
                Task.Run(
                    async () =>
                    {
                        bool isKept = await SendAsync(http, server, key, number, cancel);
                        double took = Stopwatch.GetElapsedTime(start).TotalSeconds - due_s;
                        taken.Add((isKept, due_s, 1000 * took));
                    },
                    cancel
                )
            );
        }

        await Task.WhenAll(sending);
        var counted = taken.Where(t => t.Due_s >= WarmUp.TotalSeconds).ToList();
        int kept = counted.Count(t => t.IsKept);
        return new Answers(
            kept,
            taken.Count(t => !t.IsKept),
            kept / duration.TotalSeconds,
            [.. counted.Select(t => t.Took_ms).Order()]
        );
    }

    private static async Task<bool> SendAsync(
        HttpClient http,
        Uri server,
        string key,
        long number,
        CancellationToken cancel
    )
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, new Uri(server, "/api/ingest/row"))
        {
            Content = new StringContent(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $$"""{"kind": "sample", "sequence": {{number}}, "at": "{{TimeProvider.System.GetUtcNow():yyyy-MM-ddTHH:mm:ss.fff}}Z", "what": "conductivity", "value": {{3 + (number % 7)}}, "unit": "µS/cm"}"""
                ),
                Encoding.UTF8,
                "application/json"
            ),
        };
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", key);
        try
        {
            using HttpResponseMessage answer = await http.SendAsync(request, cancel);
            return answer.StatusCode is HttpStatusCode.Created;
        }
        catch (Exception problem)
            when (problem is HttpRequestException
                || (problem is OperationCanceledException && !cancel.IsCancellationRequested)
            )
        {
            // Refused, or not answered in the time of the client.
            return false;
        }
    }
}
