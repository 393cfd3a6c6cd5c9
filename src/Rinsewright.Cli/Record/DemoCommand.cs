using System.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Records.Demo;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright demo</c>.</summary>
internal static class DemoCommand
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "demo",
            "Fill a fresh record with two years of a made-up valeting firm: two vans, four rigs, seasons and mistakes.",
            "rinsewright demo"
        );
        Option<int> seed = verb.Has<int>(
            "--seed",
            "Another number tells another story.",
            o => o.DefaultValueFactory = _ => 1
        );
        Option<DateOnly?> until = verb.Has<DateOnly?>("--until", "Its last day. Default: today.");
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                StoreAddress address = record.Address(line);
                DateOnly lastDay =
                    line.GetValue(until) ?? DateOnly.FromDateTime(terminal.Clock.GetUtcNow().UtcDateTime);
                IReadOnlyList<InputProblem> problems = await TwoVans.FillAsync(
                    address,
                    line.GetValue(seed),
                    lastDay,
                    cancel: cancel
                );
                if (problems.Count > 0)
                {
                    return terminal.Refuse(problems);
                }

                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json => json.WriteString("record", address.ToString()));
                }

                terminal.WriteText($"The record in {address} is filled. Everything in it is made up.");
                return ExitCode.Done;
            }
        );
        return verb;
    }
}
