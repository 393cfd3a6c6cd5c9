using System.Globalization;
using CsvHelper;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Exchange;

/// <summary>Writes all readings as CSV (RFC 4180), one a row, in a form that the import takes back.</summary>
public static class ReadingCsvExport
{
    private static readonly string[] Headers =
    [
        "at",
        "rig",
        "place",
        "stage",
        "meter",
        "measurand",
        "written",
        "unit",
        "value_SI",
        "temperature_K",
        "flow_m3/s",
        "settled",
    ];

    /// <summary>Writes the readings that are not deleted, oldest first.</summary>
    /// <returns>How many readings were written.</returns>
    public static async Task<long> WriteAsync(LogbookStore store, Stream output, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        Dictionary<Id<Rig>, string> rigs = await context
            .Set<Rig>()
            .ToDictionaryAsync(r => r.Id, r => r.Name, cancel);
        Dictionary<Id<Stage>, string> stages = await context
            .Set<Stage>()
            .ToDictionaryAsync(s => s.Id, s => s.Name, cancel);
        Dictionary<Id<Meter>, string> meters = await context
            .Set<Meter>()
            .ToDictionaryAsync(m => m.Id, m => m.Name, cancel);
        await using CsvWriter csv = CsvWriter.Create(output, new CsvWriterOptions(), true);
        csv.WriteRecord(Headers);
        long count = 0;
        await foreach (
            Reading reading in context
                .Live<Reading>()
                .OrderBy(r => r.At)
                .ThenBy(r => r.Id)
                .AsAsyncEnumerable()
                .WithCancellation(cancel)
        )
        {
            csv.WriteRecord([
                reading.At.UtcDateTime.ToString("yyyy-MM-dd'T'HH:mm:ss.fff'Z'", CultureInfo.InvariantCulture),
                rigs[reading.RigId],
                ColumnName.Of(reading.Place.ToString()),
                reading.StageId is { } stage ? stages[stage] : "",
                reading.MeterId is { } meter ? meters[meter] : "",
                ColumnName.Of(reading.Measurand.ToString()),
                reading.Written,
                reading.Unit,
                Number(reading.Value_SI),
                Number(reading.Temperature_K),
                Number(reading.Flow_m3_s),
                reading.IsSettled switch
                {
                    true => "yes",
                    false => "no",
                    null => "",
                },
            ]);
            count++;
        }

        await csv.FlushAsync(cancel);
        return count;
    }

    private static string Number(double? value) => value?.ToString("R", CultureInfo.InvariantCulture) ?? "";
}
