using System.CommandLine;
using System.Text.Json;
using Rinsewright.Cli;
using Rinsewright.Records.Forecasts;

namespace Rinsewright.App.Tests.CommandLine;

/// <summary>One command line run in this process: fixed width, no colour, nothing shared with other runs but the lives that they simulate alike.</summary>
internal sealed record CliRun(int ExitCode, string Output, string Error)
{
    private static readonly LifeLibraries Simulated = new();

    /// <summary>The output as one JSON object.</summary>
    public JsonElement Json => JsonDocument.Parse(Output).RootElement;

    /// <summary>The error lines.</summary>
    public string[] Problems => Error.Split('\n', StringSplitOptions.RemoveEmptyEntries);

    public static Task<CliRun> OfAsync(params string[] args) =>
        OfAsync(terminal => Commands.RunAsync(args, terminal));

    /// <summary>Runs a command that the product does not have, to test what all commands share.</summary>
    public static Task<CliRun> OfAsync(Func<Terminal, Command> command, params string[] args) =>
        OfAsync(terminal =>
        {
            RootCommand root = Commands.Create(terminal);
            root.Subcommands.Add(command(terminal));
            return Commands.RunAsync(root, args, terminal);
        });

    public static async Task<CliRun> OfAsync(
        Func<Terminal, Task<int>> run,
        bool unicode = true,
        Func<string, string?>? variable = null,
        TimeProvider? clock = null
    )
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        using var terminal = new Terminal(TextReader.Null, output, error)
        {
            Width = 100,
            Unicode = unicode,
            Variable = variable ?? (_ => null),
            Clock = clock ?? TimeProvider.System,
            Libraries = Simulated,
        };
        int code = await run(terminal);
        return new CliRun(code, output.ToString(), error.ToString());
    }
}
