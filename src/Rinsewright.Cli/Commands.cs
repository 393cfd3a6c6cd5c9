using System.CommandLine;
using System.CommandLine.Help;
using System.CommandLine.Invocation;
using System.CommandLine.Parsing;
using System.Globalization;
using Rinsewright.Cli.Record;
using Rinsewright.Handouts;
using Rinsewright.Quantities;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli;

/// <summary>The command line as a whole: which commands there are, help, and what every failure returns.</summary>
internal static class Commands
{
    /// <summary>What people type, whatever file runs.</summary>
    private const string Program = "rinsewright";

    /// <summary>All commands, in the order in which help shows them.</summary>
    private static readonly Func<Terminal, Command>[] All =
    [
        WaterCommand.Create,
        BedCommand.Create,
        TrainCommand.Create,
        ChooseCommand.Create,
        DryCommand.Create,
        AnswerCommand.Create,
        ForecastCommand.Create,
        LifeChartCommand.Create,
        MeterCommand.Create,
        CalendarCommand.Create,
        LabelsCommand.Create,
        ReportCommand.Create,
        ShareCommand.Create,
        FleetCommand.Create,
        LogCommand.Create,
        ImportCommand.Create,
        ExportCommand.Create,
        UndoCommands.CreateUndo,
        UndoCommands.CreateRedo,
        BackupCommands.CreateBackup,
        BackupCommands.CreateRestore,
        DeviceCommand.Create,
        AlarmCommand.Create,
        PeopleCommand.Create,
        KeyCommand.Create,
        DemoCommand.Create,
        ServeCommand.Create,
    ];

    public static RootCommand Create(Terminal terminal)
    {
        var root = new RootCommand(
            "Make, keep and prove spot-free wash water. Figures are estimates; the water is not for drinking."
        );
        foreach (Func<Terminal, Command> create in All)
        {
            root.Subcommands.Add(create(terminal));
        }

        HelpOption help = root.Options.OfType<HelpOption>().Single();
        help.Action = new HelpWithExamples((HelpAction)help.Action!, terminal);
        return root;
    }

    /// <summary>Parses and runs a command line; returns the exit code.</summary>
    public static Task<int> RunAsync(
        IReadOnlyList<string> args,
        Terminal terminal,
        CancellationToken cancel = default
    ) => RunAsync(Create(terminal), args, terminal, cancel);

    internal static async Task<int> RunAsync(
        RootCommand root,
        IReadOnlyList<string> args,
        Terminal terminal,
        CancellationToken cancel = default
    )
    {
        // A word that begins with @ is a word, not a file of more words.
        ParseResult line = root.Parse(args, new ParserConfiguration { ResponseFileTokenReplacer = null });
        if (line.Errors.Count > 0 && line.Action is ParseErrorAction)
        {
            return Refuse(line, terminal);
        }

        try
        {
            return await line.InvokeAsync(
                new InvocationConfiguration
                {
                    Output = terminal.Output,
                    Error = terminal.Error,
                    EnableDefaultExceptionHandler = false,
                    ProcessTerminationTimeout = (line.CommandResult.Command as Verb)?.StopsWithin,
                },
                cancel
            );
        }
        catch (OperationCanceledException)
        {
            return ExitCode.Stopped;
        }
        catch (UnsolvedException e)
        {
            return terminal.Fail(e.Message);
        }
        catch (UnreadableAddressException e)
        {
            return terminal.Refuse([e.Problem]);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            await terminal.Error.WriteLineAsync($"{Program}: {e.Message}");
            return ExitCode.Failed;
        }
    }

    private static int Refuse(ParseResult line, Terminal terminal)
    {
        List<string> path = [];
        for (SymbolResult? at = line.CommandResult; at is CommandResult command; at = command.Parent)
        {
            path.Insert(0, command.Command is RootCommand ? Program : command.Command.Name);
        }

        string name = string.Join(' ', path);
        if (line.Tokens.Count == 0)
        {
            line.RootCommandResult.Command.Parse(["--help"])
                .Invoke(new InvocationConfiguration { Output = terminal.Error });
            return ExitCode.BadInput;
        }

        return terminal.Refuse([
            .. line.Errors.Select(e =>
                OptionValue.ProblemOf(e) ?? new InputProblem(name, e.Message, $"see {name} --help")
            ),
        ]);
    }

    private sealed class HelpWithExamples(HelpAction inner, Terminal terminal) : SynchronousCommandLineAction
    {
        public override bool ClearsParseErrors => true;

        public override int Invoke(ParseResult parseResult)
        {
            InvocationConfiguration invocation = parseResult.InvocationConfiguration;
            TextWriter output = invocation.Output;
            using var help = new StringWriter(CultureInfo.InvariantCulture);
            inner.MaxWidth = terminal.Width;
            invocation.Output = help;
            int code = inner.Invoke(parseResult);
            invocation.Output = output;
            output.Write(
                help.ToString().Replace(RootCommand.ExecutableName, Program, StringComparison.Ordinal)
            );
            if (parseResult.CommandResult.Command is Verb { Examples.Count: > 0 } verb)
            {
                output.WriteLine("Examples:");
                foreach (string example in verb.Examples)
                {
                    output.WriteLine("  " + example);
                }

                output.WriteLine();
            }

            return code;
        }
    }
}
