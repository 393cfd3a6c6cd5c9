using System.CommandLine;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log change</c>: the old fill out and a new one in, as one edit.</summary>
internal static class LogChange
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "change",
            "Write that a stage got a new fill. Relieve the pressure before opening a housing.",
            "rinsewright log change Polisher \"mixed-bed resin\" --volume \"10 L\" --rig \"Van 1\""
        );
        Argument<string> stage = verb.Takes<string>("STAGE", "The stage.");
        Argument<string> medium = verb.Takes<string>("MEDIUM", "What was put in.");
        Option<string?> volume = verb.Has<string?>("--volume", "Its settled volume, such as \"10 L\".");
        Option<string?> batch = verb.Has<string?>("--batch", "Its batch.");
        Option<string?> rig = verb.Has<string?>("--rig", "The rig; not needed when there is one only.");
        Option<string?> at = verb.Has<string?>("--at", "When, in the rig's time zone. Default: now.");
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            (line, cancel) =>
                record.WriteAsync(
                    line,
                    async (store, names, problems) =>
                    {
                        Rig? ofRig = names.FindRig(line.GetValue(rig), "--rig", problems);
                        Stage? ofStage = ofRig is null
                            ? null
                            : names.FindStage(ofRig, line.GetValue(stage)!, "STAGE", problems);
                        Volume? size = WrittenText.Quantity<Volume>(
                            "--volume",
                            line.GetValue(volume),
                            problems
                        );
                        DateTimeOffset when = record.At(line.GetValue(at), ofRig, problems);
                        if (ofStage is null)
                        {
                            return [];
                        }

                        await using LogbookContext context = store.Read();
                        return ChangeOut.Of(
                            store.Ids,
                            ofStage,
                            line.GetValue(medium)!,
                            line.GetValue(batch),
                            size,
                            line.GetValue(volume),
                            when,
                            await context.Live<Fill>().ToListAsync(cancel),
                            await context.Live<Purchase>().ToListAsync(cancel)
                        );
                    },
                    cancel
                )
        );
        return verb;
    }
}
