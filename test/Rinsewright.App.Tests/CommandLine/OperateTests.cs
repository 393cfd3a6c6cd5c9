using System.CommandLine.Parsing;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

/// <summary>What docs/operate.md tells operators to do is done here as it stands.</summary>
public sealed class OperateTests
{
    private const string Prompt = "$ rinsewright ";

    [Fact]
    public async Task The_restore_drill_gives_the_record_back()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        using var written = new TempFolder();
        string[] commands =
        [
            .. File.ReadLines(Path.Combine(Repository.Root, "docs", "operate.md"))
                .Where(l => l.StartsWith(Prompt, StringComparison.Ordinal))
                .Select(l => l[Prompt.Length..]),
        ];
        Assert.Contains("restore", commands, StringComparer.Ordinal);
        foreach (string command in commands)
        {
            CliRun run = await home.RunAsync([
                .. CommandLineParser
                    .SplitCommandLine(command)
                    .Select(w => Path.GetExtension(w) is ".json" ? written.PathOf(w) : w),
            ]);
            Assert.Equal((ExitCode.Done, "", command), (run.ExitCode, run.Error, command));
        }

        byte[] before = await File.ReadAllBytesAsync(
            written.PathOf("before.json"),
            TestContext.Current.CancellationToken
        );
        Assert.True(before.Length > 100_000);
        Assert.Equal(
            before,
            await File.ReadAllBytesAsync(written.PathOf("after.json"), TestContext.Current.CancellationToken)
        );
        Assert.Single(Directory.EnumerateFiles(home.Record, "replaced-*.db"));
    }
}
