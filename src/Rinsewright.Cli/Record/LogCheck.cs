using System.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log check</c>: a meter against a reference solution.</summary>
internal static class LogCheck
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "check",
            "Write what a meter showed in a reference solution.",
            "rinsewright log check \"Pocket meter\" --reference \"42 ppm\" --shown \"44 ppm\" --solution \"KCl 84 µS/cm\""
        );
        Argument<string> meter = verb.Takes<string>("METER", "The meter.");
        Option<string> reference = verb.Has<string>(
            "--reference",
            "What the solution is worth in what the meter shows.",
            o => o.Required = true
        );
        Option<string> shown = verb.Has<string>("--shown", "What the meter showed.", o => o.Required = true);
        Option<string?> solution = verb.Has<string?>(
            "--solution",
            "Name of the solution. Default: its value."
        );
        Option<string?> temperature = verb.Has<string?>(
            "--temperature",
            "Its temperature, such as \"22 °C\"."
        );
        Option<string?> at = verb.Has<string?>("--at", "When (UTC unless it says an offset). Default: now.");
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            (line, cancel) =>
                record.WriteAsync(
                    line,
                    (store, names, problems) =>
                    {
                        Meter? checkedMeter = names.FindMeter(line.GetValue(meter)!, "METER", problems);
                        Temperature? warmth = WrittenText.Quantity<Temperature>(
                            "--temperature",
                            line.GetValue(temperature),
                            problems
                        );
                        DateTimeOffset when = record.At(line.GetValue(at), null, problems);
                        WrittenValue? worth = Value("--reference", line.GetValue(reference)!);
                        WrittenValue? seen = Value("--shown", line.GetValue(shown)!);
                        if (checkedMeter is null || worth is null || seen is null)
                        {
                            return Task.FromResult<IReadOnlyList<Entry>>([]);
                        }

                        var check = new BenchCheck
                        {
                            Id = store.Ids.Next<BenchCheck>(),
                            MeterId = checkedMeter.Id,
                            At = when,
                            Solution = line.GetValue(solution) ?? line.GetValue(reference)!,
                            Reference_SI = worth.Value_SI,
                            Shown_SI = seen.Value_SI,
                            ShownWritten = seen.Written,
                            Unit = seen.Unit,
                            Temperature_K = warmth?.Kelvins,
                        };
                        return Task.FromResult<IReadOnlyList<Entry>>([check]);

                        WrittenValue? Value(string place, string text) =>
                            checkedMeter is null
                                ? null
                                : WrittenText.Value(place, checkedMeter.Measurand, text, problems);
                    },
                    cancel
                )
        );
        return verb;
    }
}
