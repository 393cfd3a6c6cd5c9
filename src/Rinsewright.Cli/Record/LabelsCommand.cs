using System.CommandLine;
using System.Text;
using Rinsewright.Handouts.Labels;
using Rinsewright.Handouts.Paper;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright labels</c>: a sheet of codes for the housings, each opening the quick log of its stage.</summary>
internal static class LabelsCommand
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "labels",
            "Make a sheet of labels for the housings of a rig, whose codes open the quick log of each stage.",
            "rinsewright labels \"Van 1\" --address https://rinse.example"
        );
        Argument<string?> rig = verb.Takes<string?>(
            "RIG",
            "Name of the rig in the record; not needed when there is only one.",
            a => a.DefaultValueFactory = _ => null
        );
        Option<string> address = verb.Has<string>(
            "--address",
            "Address at which phones reach the pages (rinsewright serve), such as http://192.168.1.20:5170.",
            o => o.Required = true
        );
        Option<string?> output = verb.Has<string?>("--output", "Write the sheet to this .pdf or .svg file.");
        Option<string> paper = verb.Has<string>(
            "--paper",
            "A4 or Letter.",
            o => o.DefaultValueFactory = _ => Sheet.A4.Word
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                List<InputProblem> wrong = [];
                Sheet? sheet = Given.OneOf("--paper", line.GetValue(paper)!, Sheet.All, s => s.Word, wrong);
                string? path = PaperFile.Checked("--output", line.GetValue(output), [".pdf", ".svg"], wrong);
                string site = line.GetValue(address)!;
                bool isAddress =
                    Uri.TryCreate(site, UriKind.Absolute, out Uri? reached)
                    && reached.Scheme is "http" or "https";
                if (!isAddress)
                {
                    wrong.Add(
                        new InputProblem("--address", site, "an address that begins with http:// or https://")
                    );
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                await using LogbookContext context = store.Read();
                RecordNames names = await RecordNames.LoadAsync(context, cancel);
                Records.Logbook.Rig? found = names.FindRig(line.GetValue(rig), "RIG", problems);
                wrong.AddRange(problems.Problems);
                if (wrong.Count > 0)
                {
                    return terminal.Refuse(wrong);
                }

                RigHistory history = (await RigHistory.LoadAsync(context, found!.Id, cancel: cancel))!;
                if (history.Stages.Count == 0)
                {
                    return terminal.Refuse([
                        new InputProblem(found.Name, "no stage", "a rig with its stages"),
                    ]);
                }

                var labels = LabelSheet.Of(history, reached!, sheet!);
                if (path is not null && !PaperFile.IsPdf(path) && labels.Labels.Count > LabelSheet.PerPage)
                {
                    return terminal.Refuse([
                        new InputProblem(
                            "--output",
                            path,
                            $"a .pdf file: a picture holds {LabelSheet.PerPage} labels, and there are {labels.Labels.Count}"
                        ),
                    ]);
                }

                if (path is not null)
                {
                    OutputFile.Replace(path, stream => Write(stream, path, labels));
                }

                return Verb.WantsJson(line)
                    ? WriteJson(terminal, labels)
                    : WriteText(terminal, labels, reached!, path);
            }
        );
        return verb;
    }

    private static void Write(Stream stream, string path, LabelSheet labels)
    {
        if (PaperFile.IsPdf(path))
        {
            labels.WritePdf(stream);
        }
        else
        {
            stream.Write(Encoding.UTF8.GetBytes(labels.ToSvg()));
        }
    }

    private static int WriteJson(Terminal terminal, LabelSheet labels) =>
        terminal.WriteJson(json =>
        {
            json.WriteStartArray("labels");
            foreach (HousingLabel label in labels.Labels)
            {
                json.WriteStartObject();
                json.WriteString("rig", label.Rig);
                json.WriteString("stage", label.Stage);
                json.WriteString("address", label.Address.AbsoluteUri);
                json.WriteEndObject();
            }

            json.WriteEndArray();
        });

    private static int WriteText(Terminal terminal, LabelSheet labels, Uri site, string? path)
    {
        terminal.WriteTable(
            [Heading.Words("stage"), Heading.Words("its code opens")],
            labels.Labels.Select(l => (IReadOnlyList<string>)[l.Stage, l.Address.AbsoluteUri])
        );
        if (site.IsLoopback)
        {
            terminal.WriteCaution(
                "A phone cannot reach this machine under that address: give its name or number on the network."
            );
        }

        terminal.WriteText(path is null ? "Write the sheet with --output labels.pdf." : $"Written: {path}");
        return ExitCode.Done;
    }
}
