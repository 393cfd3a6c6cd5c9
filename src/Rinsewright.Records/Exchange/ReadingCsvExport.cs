using System.Globalization;
using CsvHelper;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Records.Trust;

namespace Rinsewright.Records.Exchange;

/// <summary>
/// Writes all readings as CSV (RFC 4180), one a row, in a form that the import takes back. Beside each reading of
/// conductance or dissolved solids stands what it is worth by the bench checks of its meter, and what may be wrong with it;
/// an import passes these over, because it works them out itself.
/// </summary>
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
        "true_conductance_uS/cm",
        "true_conductance_sd_uS/cm",
        "remarks",
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
        IReadOnlyDictionary<Id<Meter>, MeterTrust> trust = await MeterTrust.AllAsync(context, cancel);
        Dictionary<Id<Reading>, string> remarks = await RemarksAsync(context, cancel);
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
            CorrectedReading? corrected = (
                reading.MeterId is { } by && trust.TryGetValue(by, out MeterTrust? known)
                    ? known
                    : MeterTrust.OfNoMeter
            ).Correct(reading);
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
                Digits(corrected?.Conductance_uS_cm.Mean),
                Digits(corrected?.Conductance_uS_cm.StandardDeviation),
                remarks.GetValueOrDefault(reading.Id, ""),
            ]);
            count++;
        }

        await csv.FlushAsync(cancel);
        return count;
    }

    /// <summary>What may be wrong with readings, as words. Rules look at neighbours, so one rig at a time is held whole.</summary>
    private static async Task<Dictionary<Id<Reading>, string>> RemarksAsync(
        LogbookContext context,
        CancellationToken cancel
    )
    {
        var remarks = new Dictionary<Id<Reading>, string>();
        foreach (Id<Rig> rig in await context.Live<Rig>().Select(r => r.Id).ToListAsync(cancel))
        {
            RigHistory history = (await RigHistory.LoadAsync(context, rig, until: null, cancel))!;
            foreach (TrustedReading reading in history.Readings.Where(r => r.Remarks.Count > 0))
            {
                remarks.Add(
                    reading.Reading.Id,
                    string.Join(
                        "; ",
                        reading.Remarks.Select(r => $"{ColumnName.Of(r.Fault.ToString())}: {r.Reason}")
                    )
                );
            }
        }

        return remarks;
    }

    private static string Digits(double? value) => value?.ToString("G6", CultureInfo.InvariantCulture) ?? "";

    private static string Number(double? value) => value?.ToString("R", CultureInfo.InvariantCulture) ?? "";
}
