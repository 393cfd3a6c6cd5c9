using System.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Cli;

/// <summary>What is in a water, what a meter shows of it, and what it leaves.</summary>
internal sealed class WaterCommand
{
    private readonly Terminal _terminal;
    private readonly Verb _verb;
    private readonly Argument<string> _file;
    private readonly Option<string> _equilibrate;
    private readonly Option<string> _pHFrom;
    private readonly Option<string> _activity;

    private WaterCommand(Terminal terminal)
    {
        _terminal = terminal;
        _verb = new Verb(
            "water",
            "Say what is in a water, what a meter shows of it, and what it leaves when it dries.",
            "rinsewright water examples/waters/chalk-tap.json",
            "rinsewright water examples/waters/pocket-reading.json --json",
            "rinsewright water examples/waters/softened.json --equilibrate open"
        ).AnswersInJson();
        _file = _verb.Takes<string>(
            "FILE",
            "The water file (docs/formats/water.md); - reads standard input."
        );
        _equilibrate = _verb.Has<string>(
            "--equilibrate",
            "closed keeps the water's own carbon dioxide; open lets it stand in air.",
            o =>
            {
                o.DefaultValueFactory = _ => "closed";
                o.AcceptOnlyFromAmong("open", "closed");
            }
        );
        _pHFrom = _verb.Has<string>(
            "--pH-from",
            "alkalinity uses the stated pH and alkalinity; charge takes the ions as complete and finds pH from them.",
            o =>
            {
                o.DefaultValueFactory = _ => "alkalinity";
                o.AcceptOnlyFromAmong("charge", "alkalinity");
            }
        );
        _activity = _verb.Has<string>(
            "--activity",
            "The law for activity coefficients.",
            o =>
            {
                o.DefaultValueFactory = _ => "truesdell-jones";
                o.AcceptOnlyFromAmong("davies", "truesdell-jones");
            }
        );
        _verb.SetAction(Run);
    }

    public static Command Create(Terminal terminal) => new WaterCommand(terminal)._verb;

    private int Run(ParseResult line)
    {
        var mode = new WaterMode(
            string.Equals(line.GetValue(_equilibrate), "open", StringComparison.Ordinal),
            string.Equals(line.GetValue(_pHFrom), "charge", StringComparison.Ordinal),
            string.Equals(line.GetValue(_activity), "davies", StringComparison.Ordinal)
                ? ActivityModel.Davies
                : ActivityModel.TruesdellJones
        );
        List<InputProblem> problems = [];
        List<string> remarks = [];
        string file = line.GetValue(_file)!;
        if (WaterInput.Read(_terminal, file, mode, problems, remarks) is not { } source)
        {
            return _terminal.Refuse(problems);
        }

        if (WaterReport.Of(source, mode.Activity) is not { } report)
        {
            return _terminal.Fail("the species of this water could not be found");
        }

        var answer = new WaterAnswer(report, [.. remarks, .. source.Warnings.Select(w => w.ToString())]);
        if (Verb.WantsJson(line))
        {
            return _terminal.WriteJson(answer.WriteJson);
        }

        answer.Print(_terminal);
        return ExitCode.Done;
    }
}
