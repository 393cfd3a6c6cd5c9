using System.CommandLine;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log note</c>.</summary>
internal static class LogNote
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "note",
            "Write words about a rig or a stage.",
            "rinsewright log note \"O-ring renewed\" --rig \"Van 1\""
        );
        Argument<string> text = verb.Takes<string>("TEXT", "The words.");
        Option<string?> rig = verb.Has<string?>("--rig", "The rig; not needed when there is one only.");
        Option<string?> stage = verb.Has<string?>("--stage", "The stage.");
        Option<string?> at = verb.Has<string?>("--at", "When, in the rig's time zone. Default: now.");
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            (line, cancel) =>
                record.WriteAsync(
                    line,
                    (store, names, problems) =>
                    {
                        Rig? ofRig = names.FindRig(line.GetValue(rig), "--rig", problems);
                        Stage? ofStage =
                            ofRig is not null && line.GetValue(stage) is { } name
                                ? names.FindStage(ofRig, name, "--stage", problems)
                                : null;
                        var note = new Note
                        {
                            Id = store.Ids.Next<Note>(),
                            RigId = ofRig?.Id,
                            StageId = ofStage?.Id,
                            At = record.At(line.GetValue(at), ofRig, problems),
                            Text = line.GetValue(text)!,
                        };
                        return Task.FromResult<IReadOnlyList<Entry>>([note]);
                    },
                    cancel
                )
        );
        return verb;
    }
}
