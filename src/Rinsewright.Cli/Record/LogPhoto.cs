using System.CommandLine;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log photo</c>: a picture of a rig or a stage.</summary>
internal static class LogPhoto
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "photo",
            "Keep a photograph (JPEG, PNG or WebP, up to 20 MB) with a rig or a stage."
        );
        Argument<string> path = verb.Takes<string>("FILE", "The picture.");
        Option<string?> rig = verb.Has<string?>("--rig", "The rig; not needed when there is one only.");
        Option<string?> stage = verb.Has<string?>("--stage", "The stage.");
        Option<string?> caption = verb.Has<string?>("--caption", "What it shows.");
        Option<string?> at = verb.Has<string?>("--at", "When, in the rig's time zone. Default: now.");
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                string file = line.GetValue(path)!;
                bool isThere =
                    File.Exists(file) && new FileInfo(file).Length <= PhotographContent.LargestBytes;
                byte[] bytes = isThere ? await File.ReadAllBytesAsync(file, cancel) : [];
                string? type = TypeOf(bytes);
                problems.Require(
                    type is not null,
                    "FILE",
                    $"{file}",
                    $"a JPEG, PNG or WebP picture of at most {PhotographContent.LargestBytes / 1_000_000} MB"
                );
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                RecordNames names;
                await using (LogbookContext context = store.Read())
                {
                    names = await RecordNames.LoadAsync(context, cancel);
                }

                Rig? ofRig = names.FindRig(line.GetValue(rig), "--rig", problems);
                Stage? ofStage =
                    ofRig is not null && line.GetValue(stage) is { } name
                        ? names.FindStage(ofRig, name, "--stage", problems)
                        : null;
                DateTimeOffset when = record.At(line.GetValue(at), ofRig, problems);
                if (type is null || problems.Problems.Count > 0)
                {
                    return terminal.Refuse(problems.Problems);
                }

                var content = new PhotographContent
                {
                    Id = store.Ids.Next<PhotographContent>(),
                    MediaType = type,
                    Content = bytes,
                };
                var photograph = new Photograph
                {
                    Id = store.Ids.Next<Photograph>(),
                    RigId = ofRig!.Id,
                    StageId = ofStage?.Id,
                    PhotographContentId = content.Id,
                    At = when,
                    Caption = line.GetValue(caption) ?? "",
                };
                // The answer leaves the bytes out: whoever sent them has them.
                return record.Answer(
                    line,
                    await store.WriteAsync(record.Draft(line), [content, photograph], cancel),
                    [photograph]
                );
            }
        );
        return verb;
    }

    /// <summary>Media type by the first bytes, whatever the file is called.</summary>
    private static string? TypeOf(ReadOnlySpan<byte> bytes) =>
        bytes.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF]) ? "image/jpeg"
        : bytes.StartsWith((ReadOnlySpan<byte>)[0x89, 0x50, 0x4E, 0x47]) ? "image/png"
        : bytes.Length > 12 && bytes.StartsWith("RIFF"u8) && bytes[8..].StartsWith("WEBP"u8) ? "image/webp"
        : null;
}
