using System.CommandLine.Parsing;
using System.Diagnostics;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

/// <summary>What docs/operate.md tells operators to do is done here as it stands.</summary>
public sealed class OperateTests
{
    private const string Prompt = "$ ";
    private const string Program = "rinsewright ";
    private const string Served = "/var/lib/rinsewright";

    [Fact]
    public async Task The_restore_drill_gives_the_record_back_and_leaves_the_one_in_use_alone()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        using var drill = new TempFolder();
        string[] commands =
        [
            .. File.ReadLines(Path.Combine(Repository.Root, "docs", "operate.md"))
                .Where(l => l.StartsWith(Prompt, StringComparison.Ordinal))
                .Select(l => l[Prompt.Length..]),
        ];
        Assert.Contains("rinsewright restore --data drill", commands, StringComparer.Ordinal);
        Assert.Contains("cmp before.json after.json", commands, StringComparer.Ordinal);
        foreach (string command in commands)
        {
            (int code, string error) = command.StartsWith(Program, StringComparison.Ordinal)
                ? await OfProgramAsync(home, drill, command[Program.Length..])
                : await OfShellAsync(home, drill, command);
            Assert.Equal((ExitCode.Done, "", command), (code, error, command));
        }

        Assert.True(new FileInfo(drill.PathOf("before.json")).Length > 100_000);
        Assert.True(File.Exists(Path.Combine(drill.PathOf("drill"), "rinsewright.db")));
        Assert.Empty(Directory.EnumerateFiles(home.Record, "replaced-*.db"));
    }

    private static async Task<(int Code, string Error)> OfProgramAsync(
        DemoHome home,
        TempFolder drill,
        string words
    )
    {
        CliRun run = await home.RunAsync([
            .. CommandLineParser
                .SplitCommandLine(words)
                .Select(w =>
                    w is Served ? home.Record
                    : w is "drill" || Path.GetExtension(w) is ".json" ? drill.PathOf(w)
                    : w
                ),
        ]);
        return (run.ExitCode, run.Error);
    }

    private static async Task<(int Code, string Error)> OfShellAsync(
        DemoHome home,
        TempFolder drill,
        string command
    )
    {
        using Process shell = Process.Start(
            new ProcessStartInfo(
                "bash",
                ["-c", command.Replace(Served, home.Record, StringComparison.Ordinal)]
            )
            {
                WorkingDirectory = drill.PathOf("."),
                UseShellExecute = false,
                RedirectStandardError = true,
            }
        )!;
        string error = await shell.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        await shell.WaitForExitAsync(TestContext.Current.CancellationToken);
        return (shell.ExitCode, error);
    }
}
