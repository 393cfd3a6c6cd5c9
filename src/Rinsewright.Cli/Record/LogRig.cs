using System.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log rig</c>: a new rig with its train.</summary>
internal static class LogRig
{
    private static readonly Dictionary<string, StageKind> Kinds = Enum.GetValues<StageKind>()
        .ToDictionary(k => k.ToString(), StringComparer.OrdinalIgnoreCase);

    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "rig",
            "Write a new rig and the stages of its train, in the order in which water meets them.",
            "rinsewright log rig \"Home wall\" --stage \"Filter=sediment\" --stage \"Block=carbon block\" --stage \"Polisher=mixed bed, 10 L\" --zone Europe/Vienna"
        );
        Argument<string> name = verb.Takes<string>("NAME", "What the rig is called.");
        Option<string[]> stages = verb.Has<string[]>(
            "--stage",
            "NAME=KIND[, VOLUME]; KIND is sediment, carbon block, softener, reverse osmosis, mixed bed, cation bed or anion bed."
        );
        Option<string> zone = verb.Has<string>(
            "--zone",
            "Time zone of its days (IANA).",
            o => o.DefaultValueFactory = _ => "UTC"
        );
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            (line, cancel) =>
                record.WriteAsync(
                    line,
                    (store, names, problems) =>
                    {
                        string called = line.GetValue(name)!;
                        problems.Require(
                            !names.Rigs.Any(r =>
                                string.Equals(r.Name, called, StringComparison.OrdinalIgnoreCase)
                            ),
                            "NAME",
                            $"{called}",
                            "a name that no other rig has"
                        );
                        var rig = new Rig
                        {
                            Id = store.Ids.Next<Rig>(),
                            Name = called,
                            TimeZone = line.GetValue(zone)!,
                        };
                        var entries = new List<Entry> { rig };
                        foreach (string text in line.GetValue(stages) ?? [])
                        {
                            string[] parts = text.Split('=', 2, StringSplitOptions.TrimEntries);
                            string[] kindAndVolume = parts[^1].Split(',', 2, StringSplitOptions.TrimEntries);
                            if (
                                parts.Length < 2
                                || !Kinds.TryGetValue(
                                    kindAndVolume[0].Replace(" ", "", StringComparison.Ordinal),
                                    out StageKind kind
                                )
                            )
                            {
                                problems.Add(
                                    "--stage",
                                    text,
                                    "NAME=KIND or NAME=KIND, VOLUME, such as \"Polisher=mixed bed, 10 L\""
                                );
                                continue;
                            }

                            string? volumeText = kindAndVolume.Length > 1 ? kindAndVolume[1] : null;
                            Volume? volume = WrittenText.Quantity<Volume>("--stage", volumeText, problems);
                            entries.Add(
                                new Stage
                                {
                                    Id = store.Ids.Next<Stage>(),
                                    RigId = rig.Id,
                                    Name = parts[0],
                                    Position = entries.Count,
                                    Kind = kind,
                                    Volume_m3 = volume?.CubicMeters,
                                    VolumeWritten = volumeText,
                                }
                            );
                        }

                        return Task.FromResult<IReadOnlyList<Entry>>(entries);
                    },
                    cancel
                )
        );
        return verb;
    }
}
