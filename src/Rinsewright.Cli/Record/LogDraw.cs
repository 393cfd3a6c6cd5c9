using System.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log draw</c>.</summary>
internal static class LogDraw
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "draw",
            "Write how much water was taken, measured or by the usual volume of a task.",
            "rinsewright log draw \"40 L\" --rig \"Van 1\" --task \"last rinse\""
        );
        Argument<string?> volume = verb.Takes<string?>(
            "VOLUME",
            "The volume, such as \"40 L\"; left out, the task's usual volume counts.",
            v => v.Arity = ArgumentArity.ZeroOrOne
        );
        Option<string?> rig = verb.Has<string?>("--rig", "The rig; not needed when there is one only.");
        Option<string?> stage = verb.Has<string?>(
            "--stage",
            "The last stage it passed. Default: the whole train."
        );
        Option<string?> task = verb.Has<string?>("--task", "What it was for.");
        Option<string?> flow = verb.Has<string?>("--flow", "Flow, such as \"8 L/min\".");
        Option<int?> washes = verb.Has<int?>("--washes", "How many washes it served.");
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
                            ofRig is not null && line.GetValue(stage) is { } stageName
                                ? names.FindStage(ofRig, stageName, "--stage", problems)
                                : null;
                        WashTask? forTask = line.GetValue(task) is { } taskName
                            ? names.FindTask(taskName, "--task", problems)
                            : null;
                        string? text = line.GetValue(volume);
                        problems.Require(
                            !string.IsNullOrWhiteSpace(text) || line.GetValue(task) is not null,
                            "VOLUME",
                            $"",
                            "a volume or a task"
                        );
                        Volume? measured = WrittenText.Quantity<Volume>("VOLUME", text, problems);
                        VolumeFlow? speed = WrittenText.Quantity<VolumeFlow>(
                            "--flow",
                            line.GetValue(flow),
                            problems
                        );
                        DateTimeOffset when = record.At(line.GetValue(at), ofRig, problems);
                        if (ofRig is null || problems.Problems.Count > 0)
                        {
                            return Task.FromResult<IReadOnlyList<Entry>>([]);
                        }

                        Draw draw = Draw.Of(
                            store.Ids.Next<Draw>(),
                            ofRig.Id,
                            ofStage?.Id,
                            forTask,
                            measured,
                            text,
                            speed,
                            line.GetValue(washes),
                            when
                        );
                        return Task.FromResult<IReadOnlyList<Entry>>([draw]);
                    },
                    cancel
                )
        );
        return verb;
    }
}
