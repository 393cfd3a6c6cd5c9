using System.Diagnostics;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Import;

/// <summary>The same file into a record of two rigs.</summary>
internal static class RecordImport
{
    /// <summary>Seconds that it took.</summary>
    public static async Task<double> RunAsync(string csv, string folder, int rows)
    {
        await using LogbookStore store = await LogbookStore.OpenAsync(
            StoreAddress.InFolder(folder),
            TimeProvider.System
        );
        var draft = new EditDraft("bench");
        await store.WriteAsync(draft, [.. Rig(store.Ids, 1), .. Rig(store.Ids, 2)]);
        await using FileStream file = File.OpenRead(csv);
        long start = Stopwatch.GetTimestamp();
        ImportReport report = await ReadingImport.RunAsync(store, file, new ReadingCsvOptions(), draft);
        double seconds = Stopwatch.GetElapsedTime(start).TotalSeconds;
        return report.Added == rows
            ? seconds
            : throw new InvalidOperationException(string.Join('\n', report.Problems.Take(5)));
    }

    private static Entry[] Rig(IdSource ids, int number)
    {
        var rig = new Rig { Id = ids.Next<Rig>(), Name = $"Van {number}" };
        return
        [
            rig,
            new Stage
            {
                Id = ids.Next<Stage>(),
                RigId = rig.Id,
                Name = "Bed",
                Position = 1,
                Kind = StageKind.MixedBed,
            },
            new Meter
            {
                Id = ids.Next<Meter>(),
                Name = $"Probe {number}",
                Measurand = Measurand.DissolvedSolids,
            },
        ];
    }
}
