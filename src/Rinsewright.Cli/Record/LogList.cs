using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Records.Trust;
using Rinsewright.Water;
using Rig = Rinsewright.Records.Logbook.Rig;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log list</c>: what is in the record, readings beside what they stand for.</summary>
internal static class LogList
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "list",
            "Show the last entries of a kind; readings with what they stand for and what may be wrong with them.",
            "rinsewright log list --rig \"Van 1\"",
            "rinsewright log list draw --last 5"
        );
        Argument<string> kind = EntryOptions.TakesKind(verb, a => a.DefaultValueFactory = _ => "reading");
        Option<string?> rig = verb.Has<string?>("--rig", "Only of this rig.");
        Option<int> last = verb.Has<int>(
            "--last",
            "How many. Default: 20.",
            o => o.DefaultValueFactory = _ => 20
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                await using LogbookContext context = store.Read();
                RecordNames names = await RecordNames.LoadAsync(context, cancel);
                EntryKind? ofKind = EntryOptions.Kind(line.GetValue(kind)!, problems);
                Rig? ofRig = line.GetValue(rig) is { } name ? names.FindRig(name, "--rig", problems) : null;
                int count = line.GetValue(last);
                problems.Require(count > 0, "--last", $"{count}", "1 or more");
                if (problems.Problems.Count > 0)
                {
                    return terminal.Refuse(problems.Problems);
                }

                RecordListing listing = await RecordListing.LoadAsync(context, cancel);
                if (ofKind!.Type == typeof(Reading))
                {
                    IReadOnlyList<TrustedReading> readings = await ReadingsAsync(
                        context,
                        names,
                        ofRig,
                        count,
                        cancel
                    );
                    return Verb.WantsJson(line)
                        ? WriteJson(terminal, readings)
                        : WriteText(terminal, names, listing, readings);
                }

                IReadOnlyList<Entry> entries = await listing.LatestAsync(ofKind, ofRig?.Id, count, cancel);
                return Verb.WantsJson(line)
                    ? terminal.WriteJson(json =>
                    {
                        json.WriteStartArray(ofKind.Name);
                        foreach (Entry entry in entries)
                        {
                            json.WriteRawValue(ofKind.ToJson(entry));
                        }

                        json.WriteEndArray();
                    })
                    : WriteText(terminal, listing, entries);
            }
        );
        return verb;
    }

    private static async Task<IReadOnlyList<TrustedReading>> ReadingsAsync(
        LogbookContext context,
        RecordNames names,
        Rig? rig,
        int count,
        CancellationToken cancel
    )
    {
        var all = new List<TrustedReading>();
        foreach (Rig of in rig is null ? names.Rigs : [rig])
        {
            // The rules look at what came before and after, so the last are taken only when all are judged.
            RigHistory history = (await RigHistory.LoadAsync(context, of.Id, until: null, cancel))!;
            all.AddRange(history.Readings.TakeLast(count));
        }

        return [.. all.OrderBy(r => r.Reading.At).TakeLast(count)];
    }

    private static int WriteJson(Terminal terminal, IReadOnlyList<TrustedReading> readings) =>
        terminal.WriteJson(json =>
        {
            json.WriteStartArray("reading");
            foreach (TrustedReading reading in readings)
            {
                json.WriteStartObject();
                json.WritePropertyName("written");
                json.WriteRawValue(EntryKind.Of(reading.Reading).ToJson(reading.Reading));
                if (reading.Corrected is { Conductance_uS_cm: { } conductance })
                {
                    json.WriteInterval(
                        "true_conductance_uS_cm",
                        conductance.Mean,
                        conductance.Lower,
                        conductance.Upper
                    );
                }
                else
                {
                    json.WriteNull("true_conductance_uS_cm");
                }

                json.WriteStartArray("remarks");
                foreach (ReadingRemark remark in reading.Remarks)
                {
                    json.WriteStartObject();
                    json.WriteString(
                        "fault",
                        JsonNamingPolicy.SnakeCaseLower.ConvertName(remark.Fault.ToString())
                    );
                    json.WriteString("reason", remark.Reason.ToString());
                    json.WriteString("advice", remark.Advice.ToString());
                    json.WriteEndObject();
                }

                json.WriteEndArray();
                json.WriteEndObject();
            }

            json.WriteEndArray();
        });

    private static int WriteText(
        Terminal terminal,
        RecordNames names,
        RecordListing listing,
        IReadOnlyList<TrustedReading> readings
    )
    {
        terminal.WriteTable(
            [
                Heading.Words("At"),
                Heading.Words("where"),
                Heading.Words("what"),
                Heading.Number("shown"),
                Heading.Number("true µS/cm"),
                Heading.Words("remarks"),
            ],
            readings.Select(r => (IReadOnlyList<string>)Row(names, listing, r))
        );
        foreach (
            IGrouping<ReadingFault, ReadingRemark> fault in readings
                .SelectMany(r => r.Remarks)
                .GroupBy(r => r.Fault)
                .OrderBy(g => g.Key)
        )
        {
            terminal.WriteText($"{Words(fault.Key.ToString())}: {fault.Last().Advice}");
        }

        return ExitCode.Done;
    }

    private static string[] Row(RecordNames names, RecordListing listing, TrustedReading trusted)
    {
        Reading reading = trusted.Reading;
        Rig rig = names.Rigs.First(r => r.Id == reading.RigId);
        TimeZoneInfo zone = TimeZoneInfo.FindSystemTimeZoneById(rig.TimeZone);
        IEnumerable<string> place = listing
            .Describe(reading)
            .Where(f => f.Field is "rig" or "stage")
            .Select(f => f.Text)
            .Append(
                reading.StageId is null || reading.Place is Place.Inlet ? Words(reading.Place.ToString()) : ""
            );
        return
        [
            TimeZoneInfo
                .ConvertTime(reading.At, zone)
                .ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture),
            string.Join(", ", place.Where(p => p.Length > 0)),
            Words(reading.Measurand.ToString()),
            $"{reading.Written} {reading.Unit}".TrimEnd(),
            trusted.Corrected is { Conductance_uS_cm: { } conductance } ? Interval(reading, conductance) : "",
            string.Join(", ", trusted.Remarks.Select(r => Words(r.Fault.ToString()))),
        ];
    }

    /// <summary>Less than nothing is what noise and offset can make of water near pure.</summary>
    private static string Interval(Reading reading, NormalEstimate value) =>
        FormattableString.Invariant(
            $"{(reading.IsBelowLimit ? "<" : "")}{Math.Max(0, value.Mean):0.#} ({Math.Max(0, value.Lower):0.#}–{Math.Max(0, value.Upper):0.#})"
        );

    private static int WriteText(Terminal terminal, RecordListing listing, IReadOnlyList<Entry> entries)
    {
        terminal.WriteTable(
            [Heading.Words("Id"), Heading.Words("what it says")],
            entries.Select(e =>
                (IReadOnlyList<string>)
                    [
                        e.Key.ToString(),
                        string.Join(
                            "; ",
                            listing.Describe(e).Select(f => $"{f.Field.Replace('_', ' ')}: {f.Text}")
                        ),
                    ]
            )
        );
        return ExitCode.Done;
    }

    private static string Words(string name) =>
        JsonNamingPolicy.SnakeCaseLower.ConvertName(name).Replace('_', ' ');
}
