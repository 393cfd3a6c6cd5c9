using System.Globalization;
using CsvHelper;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Fleet;

/// <summary>Writes the board as CSV (RFC 4180), one rig a row, the most urgent first; instants in UTC.</summary>
public static class FleetCsv
{
    private static readonly string[] Headers =
    [
        "rig",
        "id",
        "organisation",
        "site",
        "van",
        "urgency",
        "reasons",
        "next_stage",
        "due_from",
        "due_at",
        "due_to",
        "passed_now",
        "past_since",
        "last_reading",
        "last_reading_at",
        "heard_at",
        "forecast_at",
    ];

    /// <summary>Writes the rigs that are asked for; returns how many.</summary>
    /// <param name="context">The record.</param>
    /// <param name="query">Which rigs.</param>
    /// <param name="now">The moment of asking.</param>
    /// <param name="output">Where to.</param>
    /// <param name="cancel">Stops it.</param>
    public static async Task<int> WriteAsync(
        LogbookContext context,
        FleetQuery query,
        DateTimeOffset now,
        Stream output,
        CancellationToken cancel
    )
    {
        await using CsvWriter csv = CsvWriter.Create(output, new CsvWriterOptions(), true);
        csv.WriteRecord(Headers);
        int count = 0;
        await foreach (FleetRow row in FleetList.AllAsync(context, query, now, cancel))
        {
            csv.WriteRecord(FieldsOf(row, now));
            count++;
        }

        await csv.FlushAsync(cancel);
        return count;
    }

    private static string[] FieldsOf(FleetRow row, DateTimeOffset now)
    {
        FleetRig rig = row.Rig;
        return
        [
            rig.Name,
            rig.RigId.ToString(),
            row.Organisation ?? "",
            rig.Site ?? "",
            rig.Van ?? "",
            FleetList.NameOf(rig.Urgency),
            string.Join(' ', FleetList.Each(rig.Reasons).Select(FleetList.NameOf)),
            rig.DueStage ?? "",
            At(rig.DueFrom),
            At(rig.DueAt),
            At(rig.DueTo),
            row.PassedNow?.ToString("0.####", CultureInfo.InvariantCulture) ?? "",
            At(rig.PastAt <= now ? rig.PastAt : null),
            rig.ReadWritten ?? "",
            At(rig.ReadAt),
            At(rig.HeardAt),
            At(rig.ForecastAt),
        ];
    }

    private static string At(DateTimeOffset? at) =>
        at?.UtcDateTime.ToString("yyyy-MM-dd'T'HH:mm:ss'Z'", CultureInfo.InvariantCulture) ?? "";
}
