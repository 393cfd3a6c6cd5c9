using System.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright device thin</c>: old raw samples go, the readings made of them stay.</summary>
internal static class DeviceThin
{
    public static Verb Create(Terminal terminal)
    {
        var verb = new Verb(
            "thin",
            "Remove raw samples that are old and of which readings were made. The readings stay, and everything that people wrote.",
            "rinsewright device thin --older-than-days 365 --trial"
        );
        Option<int> days = verb.Has<int>(
            "--older-than-days",
            $"How old a row must be, {Thinning.FewestDays} or more.",
            o => o.Required = true
        );
        Option<bool> trial = verb.Has<bool>("--trial", "Only count them.");
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                int age = line.GetValue(days);
                if (age < Thinning.FewestDays)
                {
                    return terminal.Refuse([
                        new InputProblem(
                            "--older-than-days",
                            FormattableString.Invariant($"{age}"),
                            $"{Thinning.FewestDays} or more"
                        ),
                    ]);
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                bool isTrial = line.GetValue(trial);
                IReadOnlyList<ThinnedRows> thinned = await new Thinning(store).RunAsync(age, isTrial, cancel);
                long rows = thinned.Sum(t => (long)t.Rows);
                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteBoolean("trial", isTrial);
                        json.WriteNumber("rows", rows);
                        json.WriteNumber("channels", thinned.Count);
                    });
                }

                terminal.WriteText(
                    FormattableString.Invariant(
                        $"{rows} raw samples of {thinned.Count} channels {(isTrial ? "would be removed" : "removed")}. Readings are untouched."
                    )
                );
                return ExitCode.Done;
            }
        );
        return verb;
    }
}
