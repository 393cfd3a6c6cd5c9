using System.Globalization;
using System.Text;
using Microsoft.EntityFrameworkCore;
using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Ingest;

/// <summary>A record with one small rig and a device that reports on it.</summary>
internal sealed class Reporting : IAsyncDisposable
{
    private Reporting(TestRecord record, Entries entries, Inbox inbox)
    {
        Record = record;
        Entries = entries;
        Inbox = inbox;
        Register = new DeviceRegister(record.Store);
    }

    public TestRecord Record { get; }

    public Entries Entries { get; }

    public Inbox Inbox { get; private set; }

    public DeviceRegister Register { get; }

    public Device Device { get; private set; } = null!;

    public string Key { get; private set; } = "";

    public static async Task<Reporting> StartAsync(
        DatabaseKind database,
        Func<DeviceDraft, DeviceDraft>? with = null
    )
    {
        TestRecord record = await TestRecord.OpenAsync(database);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.Basis);
        var reporting = new Reporting(record, entries, new Inbox(record.Store));
        (reporting.Device, reporting.Key) = await reporting.AddAsync(
            (with ?? (d => d))(
                new DeviceDraft("Probe", entries.Rig.Id, null) { Interval = TimeSpan.FromMinutes(10) }
            )
        );
        return reporting;
    }

    public async Task<(Device Device, string Key)> AddAsync(DeviceDraft draft)
    {
        (AddedDevice? added, var problems) = await Register.AddAsync(draft, default);
        Assert.Empty(problems);
        return (added!.Device, added.Key);
    }

    /// <summary>Delivers rows of JSON as a device does by HTTP.</summary>
    public Task<DeliveryAnswer> SendAsync(params string[] rows) => SendAsync(null, rows);

    public Task<DeliveryAnswer> SendAsync(DateTimeOffset? clock, params string[] rows) =>
        Inbox.TakeAsync(Device, DeliveryOf(clock, rows), default);

    public static Delivery DeliveryOf(DateTimeOffset? clock, params string[] rows)
    {
        string head = clock is { } shown ? $"\"clock\": \"{Text(shown)}\", " : "";
        Delivery? delivery = DeliveryText.OfRows(
            Encoding.UTF8.GetBytes($"{{{head}\"rows\": [{string.Join(",", rows)}]}}"),
            DeliveryWay.Http,
            out var problems
        );
        Assert.Empty(problems);
        return delivery!;
    }

    public static string Reading(double minute, double ppm, long? sequence = null) =>
        $"{{\"kind\": \"reading\", {At(minute)}{Sequence(sequence)}\"stage\": \"Bed\", \"what\": \"tds\", \"value\": \"{Number(ppm)} ppm\", \"meter\": \"Pocket meter\"}}";

    public static string Sample(
        double minute,
        double microsiemens,
        long? sequence = null,
        string more = ""
    ) =>
        $"{{\"kind\": \"sample\", {At(minute)}{Sequence(sequence)}\"stage\": \"Bed\", \"what\": \"conductivity\", \"value\": {Number(microsiemens)}, \"unit\": \"µS/cm\"{more}}}";

    public static string Count(double minute, long count, long? sequence = null) =>
        $"{{\"kind\": \"count\", {At(minute)}{Sequence(sequence)}\"count\": {count}}}";

    /// <summary>Minutes after the start of the test's clock.</summary>
    public static DateTimeOffset AtMinute(double minute) => TestRecord.Start.AddMinutes(minute);

    public async Task<List<T>> LiveAsync<T>()
        where T : Entry<T>
    {
        await using LogbookContext context = Record.Store.Read();
        return await context.Live<T>().OrderBy(e => e.Id).ToListAsync();
    }

    public async Task<int> RowsAsync()
    {
        await using LogbookContext context = Record.Store.Read();
        return await context.Set<ReceivedRow>().CountAsync();
    }

    /// <summary>Moves the clock and makes entries of what is due.</summary>
    public async Task<int> ReduceAtAsync(double minute)
    {
        Record.Clock.SetUtcNow(AtMinute(minute));
        return await Inbox.ReduceAsync(default);
    }

    public async ValueTask DisposeAsync()
    {
        await Inbox.DisposeAsync();
        await Record.DisposeAsync();
    }

    private static string At(double minute) => $"\"at\": \"{Text(AtMinute(minute))}\", ";

    private static string Text(DateTimeOffset at) =>
        at.UtcDateTime.ToString("yyyy-MM-dd'T'HH:mm:ss.fff'Z'", CultureInfo.InvariantCulture);

    private static string Sequence(long? sequence) =>
        sequence is { } number ? $"\"sequence\": {number}, " : "";

    private static string Number(double value) => value.ToString("R", CultureInfo.InvariantCulture);
}
