using System.Globalization;
using System.Net;
using System.Text;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Serving;

/// <summary>
/// Rigs with a device each that report as devices do: one row after the other, each sent again, at the next address, until it is
/// acknowledged. What was acknowledged is then looked for in the record.
/// </summary>
internal sealed class Fleet : IDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(4);
    private readonly HttpClient _http = new() { Timeout = Patience };
    private readonly CancellationTokenSource _stop = new();
    private readonly List<Reporter> _reporters = [];
    private IReadOnlyList<Uri> _addresses = [];
    private int _tried;

    private sealed class Reporter(Id<Rig> rig, string key)
    {
        public Id<Rig> Rig => rig;

        public string Key => key;

        public int Acknowledged;

        public Task Work = Task.CompletedTask;
    }

    public int Acknowledged => _reporters.Sum(r => Volatile.Read(ref r.Acknowledged));

    /// <summary>Writes the rigs and their devices into a record.</summary>
    public static async Task<Fleet> AddAsync(LogbookStore store, int rigs)
    {
        var fleet = new Fleet();
        for (int i = 1; i <= rigs; i++)
        {
            var rig = new Rig { Id = store.Ids.Next<Rig>(), Name = $"Rig {i}" };
            Assert.Empty((await store.WriteAsync(new EditDraft("test"), [rig])).Problems);
            (AddedDevice? added, _) = await new DeviceRegister(store).AddAsync(
                new DeviceDraft($"Probe {i}", rig.Id, null),
                default
            );
            fleet._reporters.Add(new Reporter(rig.Id, added!.Key));
        }

        return fleet;
    }

    /// <summary>Where the devices deliver from now on; each begins at another of the addresses.</summary>
    public void Aim(params Uri[] addresses) => Volatile.Write(ref _addresses, addresses);

    public void Start()
    {
        for (int i = 0; i < _reporters.Count; i++)
        {
            int start = i;
            _reporters[i].Work = Task.Run(() => ReportAsync(_reporters[start], start));
        }
    }

    /// <summary>Waits until so many more rows are acknowledged.</summary>
    public async Task MoreAsync(int rows)
    {
        int until = Acknowledged + rows;
        using var limit = new CancellationTokenSource(ServingProcess.Patience);
        while (Acknowledged < until)
        {
            await Task.Delay(TimeSpan.FromMilliseconds(20), TimeProvider.System, limit.Token);
        }
    }

    /// <summary>Waits until so many more deliveries have ended, well or not.</summary>
    public async Task TriedAsync(int deliveries)
    {
        int until = Volatile.Read(ref _tried) + deliveries;
        using var limit = new CancellationTokenSource(ServingProcess.Patience);
        while (Volatile.Read(ref _tried) < until)
        {
            await Task.Delay(TimeSpan.FromMilliseconds(20), TimeProvider.System, limit.Token);
        }
    }

    /// <summary>Waits until so many more rows of every rig are acknowledged: none was left without an owner.</summary>
    public async Task AllMoreAsync(int rows)
    {
        int[] until = [.. _reporters.Select(r => Volatile.Read(ref r.Acknowledged) + rows)];
        using var limit = new CancellationTokenSource(ServingProcess.Patience);
        while (_reporters.Zip(until).Any(r => Volatile.Read(ref r.First.Acknowledged) < r.Second))
        {
            await Task.Delay(TimeSpan.FromMilliseconds(20), TimeProvider.System, limit.Token);
        }
    }

    /// <summary>Lets every device end the row that it is at, if it can still be delivered, and then rest.</summary>
    public async Task RestAsync()
    {
        await _stop.CancelAsync();
        await Task.WhenAll(_reporters.Select(r => r.Work));
    }

    /// <summary>Every acknowledged row is in the record once, and a reading of it once.</summary>
    public async Task CheckAsync(LogbookStore store)
    {
        await using LogbookContext context = store.Read();
        foreach (Reporter reporter in _reporters)
        {
            List<string> written = await context
                .Live<Reading>()
                .Where(r => r.RigId == reporter.Rig)
                .OrderBy(r => r.At)
                .Select(r => r.Written)
                .ToListAsync();
            // One more may be kept whose answer did not arrive.
            Assert.InRange(written.Count, reporter.Acknowledged, reporter.Acknowledged + 1);
            Assert.Equal(
                Enumerable.Range(1, written.Count).Select(n => n.ToString(CultureInfo.InvariantCulture)),
                written,
                StringComparer.Ordinal
            );
            List<long?> rows = await (
                from row in context.Set<ReceivedRow>()
                join channel in context.Set<DeviceChannel>() on row.ChannelId equals channel.Id
                where channel.RigId == reporter.Rig
                orderby row.Id
                select row.Sequence
            ).ToListAsync();
            // In the order in which the device sent them.
            Assert.Equal(Enumerable.Range(1, written.Count).Select(n => (long?)n), rows);
        }
    }

    public void Dispose()
    {
        _http.Dispose();
        _stop.Dispose();
    }

    private async Task ReportAsync(Reporter reporter, int start)
    {
        int at = start;
        for (int number = 1; !_stop.IsCancellationRequested; number++)
        {
            while (!await IsKeptAsync(reporter, number, Volatile.Read(ref _addresses), at))
            {
                Interlocked.Increment(ref _tried);
                if (_stop.IsCancellationRequested)
                {
                    return;
                }

                at++;
                await Task.Delay(TimeSpan.FromMilliseconds(50), TimeProvider.System);
            }

            Interlocked.Increment(ref _tried);
            Interlocked.Increment(ref reporter.Acknowledged);
        }
    }

    private async Task<bool> IsKeptAsync(Reporter reporter, int number, IReadOnlyList<Uri> addresses, int at)
    {
        DateTimeOffset instant = new DateTimeOffset(2026, 1, 1, 0, 0, 0, TimeSpan.Zero).AddSeconds(number);
        using var request = new HttpRequestMessage(
            HttpMethod.Post,
            new Uri(addresses[at % addresses.Count], "/api/ingest/row")
        )
        {
            Content = new StringContent(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $$"""{"kind": "reading", "sequence": {{number}}, "at": "{{instant:yyyy-MM-ddTHH:mm:ss}}Z", "what": "conductivity", "value": {{number}}, "unit": "µS/cm"}"""
                ),
                Encoding.UTF8,
                "application/json"
            ),
        };
        request.Headers.Authorization = new("Bearer", reporter.Key);
        try
        {
            using HttpResponseMessage answer = await _http.SendAsync(request);
            return answer.StatusCode is HttpStatusCode.Created or HttpStatusCode.OK;
        }
        catch (Exception problem) when (problem is HttpRequestException or TaskCanceledException)
        {
            return false;
        }
    }
}
