using System.CommandLine.Parsing;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

/// <summary>Command lines that help and the README show are run as they stand.</summary>
public sealed class ExampleTests
{
    public static TheoryData<string> Shown
    {
        get
        {
            using var terminal = new Terminal(TextReader.Null, TextWriter.Null, TextWriter.Null);
            IEnumerable<string> examples = Commands
                .Create(terminal)
                .Subcommands.SelectMany(c => c.Subcommands.Prepend(c))
                .OfType<Verb>()
                .SelectMany(v => v.Examples);
            IEnumerable<string> readme = File.ReadLines(Path.Combine(Repository.Root, "README.md"))
                .Where(l => l.StartsWith("./rinsewright ", StringComparison.Ordinal))
                .Select(l => l[2..].Split("    ")[0].TrimEnd());
            // What serves runs until it is stopped: ServeCommandTests starts and stops it.
            return
            [
                .. examples
                    .Concat(readme)
                    .Where(l => !l.StartsWith("rinsewright serve", StringComparison.Ordinal))
                    .Distinct(StringComparer.Ordinal),
            ];
        }
    }

    [Theory]
    [MemberData(nameof(Shown))]
    public async Task A_command_line_that_is_shown_runs(string line)
    {
        string[] words = [.. CommandLineParser.SplitCommandLine(line)];
        Assert.Equal("rinsewright", words[0]);
        string[] args =
        [
            .. words[1..]
                .Select(w =>
                    w.StartsWith("examples/", StringComparison.Ordinal) ? Path.Combine(Repository.Root, w) : w
                ),
        ];
        using DemoHome home = args[0] is "demo" ? DemoHome.Empty() : await DemoHome.FilledAsync();
        CliRun run = await home.RunAsync(args);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        Assert.NotEmpty(run.Output);
    }

    [Fact]
    public void Every_command_has_a_description_and_an_example()
    {
        using var terminal = new Terminal(TextReader.Null, TextWriter.Null, TextWriter.Null);
        Assert.All(
            Commands.Create(terminal).Subcommands,
            command =>
            {
                Assert.NotEmpty(command.Description ?? "");
                Assert.True(
                    command is Verb { Examples.Count: > 0 } || command.Subcommands.Count > 0,
                    command.Name
                );
            }
        );
    }
}
