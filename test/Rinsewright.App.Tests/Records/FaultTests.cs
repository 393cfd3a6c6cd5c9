using System.Diagnostics;
using System.Globalization;
using Microsoft.EntityFrameworkCore;
using Npgsql;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Records;

/// <summary>What must hold when processes die and servers go away.</summary>
public sealed class FaultTests
{
    private const int Writers = 4;
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(3);

    [Theory]
    [InlineData(DatabaseKind.Sqlite, 1000, 12)]
    [InlineData(DatabaseKind.Postgres, 200, 4)]
    public async Task What_was_acknowledged_survives_kills_and_nothing_is_half_written(
        DatabaseKind database,
        int writes,
        int kills
    )
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        await record.WriteAsync(new Entries(record.Store.Ids).Basis);
        await record.Store.DisposeAsync();
        var random = new Random(5);
        var acknowledged = new List<string>();
        int killed = 0;
        for (int run = 1; acknowledged.Count < writes; run++)
        {
            using var writer = new WritingProcess(record.Address, FormattableString.Invariant($"{run}"));
            int share = random.Next(2 * writes / kills);
            for (int i = 0; i < share; i++)
            {
                acknowledged.Add(await writer.NextAsync());
            }

            // The kill falls anywhere within the next write or two.
            long until = Stopwatch.GetTimestamp() + random.Next((int)(Stopwatch.Frequency / 100));
            while (Stopwatch.GetTimestamp() < until)
            {
                await Task.Yield();
            }

            acknowledged.AddRange(await writer.KillAsync());
            killed++;
        }

        await record.ReopenAsync();
        await CheckAsync(record, acknowledged, mayBeMore: killed);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Two_processes_write_at_once(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        await record.WriteAsync(new Entries(record.Store.Ids).Basis);
        var acknowledged = new List<string>();
        using (var one = new WritingProcess(record.Address, "1"))
        using (var two = new WritingProcess(record.Address, "2"))
        {
            List<string>[] said = await Task.WhenAll(TakeAsync(one), TakeAsync(two));
            acknowledged.AddRange(said.SelectMany(s => s));
            acknowledged.AddRange(await one.KillAsync());
            acknowledged.AddRange(await two.KillAsync());
        }

        await CheckAsync(record, acknowledged, mayBeMore: 2);

        static async Task<List<string>> TakeAsync(WritingProcess writer)
        {
            var said = new List<string>();
            for (int i = 0; i < 40; i++)
            {
                said.Add(await writer.NextAsync());
            }

            return said;
        }
    }

    [Fact]
    public async Task A_server_that_drops_its_connections_under_load_gets_every_write_once()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Postgres);
        string database = new NpgsqlConnectionStringBuilder(record.Address.ConnectionString).Database!;
        await UnderLoadAsync(
            record.Store,
            () =>
                TestRecord.ExecuteAsync(
                    $"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{database}'"
                ),
            times: 6
        );
    }

    [Fact]
    public async Task A_server_that_is_restarted_or_crashes_under_load_gets_every_write_once()
    {
        await using OwnCluster cluster = await OwnCluster.StartAsync();
        await using LogbookStore store = await LogbookStore.OpenAsync(cluster.Address, TimeProvider.System);
        int turn = 0;
        await UnderLoadAsync(
            store,
            () => cluster.RestartAsync(turn++ % 2 == 0 ? "fast" : "immediate"),
            times: 4
        );
    }

    /// <summary>Writes from four threads while <paramref name="disturb"/> is done again and again: each write is in the record once.</summary>
    private static async Task UnderLoadAsync(LogbookStore store, Func<Task> disturb, int times)
    {
        Assert.NotNull((await store.WriteAsync(TestRecord.Draft, new Entries(store.Ids).Basis)).Edit);
        using var stop = new CancellationTokenSource(Patience);
        int count = 0;
        Task<List<string>>[] writers =
        [
            .. Enumerable.Range(0, Writers).Select(w => WriteAsync(FormattableString.Invariant($"{w}"))),
        ];
        for (int i = 0; i < times; i++)
        {
            await MoreAsync();
            await disturb();
        }

        await MoreAsync();
        Assert.False(stop.IsCancellationRequested, $"only {count} writes in {Patience}");
        await stop.CancelAsync();
        List<string> expected = [.. (await Task.WhenAll(writers)).SelectMany(w => w)];
        await using LogbookContext context = store.Read();
        List<string> held = await context.Live<Note>().Select(n => n.Text).ToListAsync();
        Assert.Equal(expected.Order(StringComparer.Ordinal), held.Order(StringComparer.Ordinal));
        Assert.Equal(expected.Count + 1, await context.Edits.CountAsync());

        async Task<List<string>> WriteAsync(string name)
        {
            var written = new List<string>();
            while (!stop.IsCancellationRequested)
            {
                string text = FormattableString.Invariant($"{name}-{written.Count}");
                Note note = new()
                {
                    Id = store.Ids.Next<Note>(),
                    At = TestRecord.Start,
                    Text = text,
                };
                Assert.NotNull((await store.WriteAsync(TestRecord.Draft, [note])).Edit);
                written.Add(text);
                Interlocked.Increment(ref count);
            }

            return written;
        }

        // Some more writes have ended, and others are under way.
        async Task MoreAsync()
        {
            for (int before = count; count < before + (2 * Writers) && !stop.IsCancellationRequested; )
            {
                await Task.Delay(10);
            }

            await Task.Delay(new Random(count).Next(50));
        }
    }

    private static async Task CheckAsync(TestRecord record, List<string> acknowledged, int mayBeMore)
    {
        await using LogbookContext context = record.Store.Read();
        List<Edit> edits = await context.Edits.AsNoTracking().Where(e => e.Author != "Ana").ToListAsync();
        Assert.Equal(edits.Count, edits.Select(e => e.Reason).Distinct(StringComparer.Ordinal).Count());
        Assert.Empty(acknowledged.Except(edits.Select(e => e.Reason), StringComparer.Ordinal));
        Assert.InRange(edits.Count, acknowledged.Count, acknowledged.Count + mayBeMore);

        Dictionary<long, int> imported = await context
            .Live<Reading>()
            .GroupBy(r => r.EditNumber)
            .ToDictionaryAsync(g => g.Key, g => g.Count());
        HashSet<string> notes = [.. await context.Live<Note>().Select(n => n.Text).ToListAsync()];
        List<string> earlier = await context.History.Select(v => v.Payload).ToListAsync();
        foreach (Edit edit in edits)
        {
            int number = int.Parse(edit.Reason.Split('-')[1], CultureInfo.InvariantCulture);
            if (number % 5 == 4)
            {
                Assert.Equal(WritingProcess.ImportedRows, imported[edit.Number]);
            }
            else
            {
                Assert.True(
                    notes.Contains(edit.Reason)
                        || earlier.Exists(p => p.Contains($"\"{edit.Reason}\"", StringComparison.Ordinal)),
                    edit.Reason
                );
            }
        }
    }
}
