using System.Net;
using System.Text.RegularExpressions;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

/// <summary>The pages from the command line: started, asked, stopped.</summary>
public sealed partial class ServeCommandTests
{
    [Fact]
    public async Task Serving_answers_on_this_machine_until_it_is_stopped()
    {
        using DemoHome home = DemoHome.Empty();
        (CliRun run, HttpStatusCode health) = await ServeAsync(home, "serve", "--port", "0");
        Assert.Equal(HttpStatusCode.OK, health);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        Assert.DoesNotContain("Passphrase", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Serving_a_network_prints_a_passphrase_and_says_what_is_not_secure()
    {
        using DemoHome home = DemoHome.Empty();
        (CliRun run, _) = await ServeAsync(home, "serve", "--port", "0", "--lan");
        Assert.Matches(Passphrase(), run.Output);
        Assert.Contains("nothing is encrypted", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_port_that_no_machine_has_is_refused()
    {
        using DemoHome home = DemoHome.Empty();
        CliRun run = await home.RunAsync("serve", "--port", "70000");
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Equal("--port: 70000: a number from 0 to 65535\n", run.Error);
    }

    [Fact]
    public async Task Serving_a_name_through_a_proxy_prints_it_and_a_passphrase_and_stays_on_this_machine()
    {
        using DemoHome home = DemoHome.Empty();
        (CliRun run, _) = await ServeAsync(
            home,
            "serve",
            "--port",
            "0",
            "--public",
            "https://wash.example.org",
            "--proxy",
            "10.0.0.0/24"
        );
        Assert.Contains("https://wash.example.org/", run.Output, StringComparison.Ordinal);
        Assert.Matches(Passphrase(), run.Output);
        Assert.DoesNotContain("On the local network", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_name_without_encryption_and_a_proxy_that_is_no_address_are_refused_together()
    {
        using DemoHome home = DemoHome.Empty();
        CliRun run = await home.RunAsync(
            "serve",
            "--public",
            "http://wash.example.org",
            "--proxy",
            "next door"
        );
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Equal(
            "--public: http://wash.example.org: an https address without a path, such as https://wash.example.org\n"
                + "--proxy: next door: an address or a network, such as 192.168.1.5 or 10.0.0.0/24\n",
            run.Error
        );
    }

    private static async Task<(CliRun Run, HttpStatusCode Health)> ServeAsync(
        DemoHome home,
        params string[] args
    )
    {
        using var stop = CancellationTokenSource.CreateLinkedTokenSource(
            TestContext.Current.CancellationToken
        );
        var output = new Watched();
        using var terminal = new Terminal(TextReader.Null, output, new StringWriter())
        {
            Width = 200,
            Variable = name => name is "XDG_DATA_HOME" ? home.Record : null,
        };
        Task<int> serving = ServeAsync(terminal, args, stop.Token);
        string said = await output.WaitForAsync("Ctrl+C stops", stop.Token);
        using var http = new HttpClient { BaseAddress = new Uri(Address().Match(said).Value) };
        HttpResponseMessage health = await http.GetAsync("/health", stop.Token);
        await stop.CancelAsync();
        int code = await serving;
        return (new CliRun(code, output.ToString(), terminal.Error.ToString()!), health.StatusCode);
    }

    private static Task<int> ServeAsync(Terminal terminal, string[] args, CancellationToken cancel) =>
        Commands.RunAsync(args, terminal, cancel);

    [GeneratedRegex(@"http://localhost:\d+/", RegexOptions.None, 1000)]
    private static partial Regex Address();

    [GeneratedRegex(@"Passphrase: \w{4}-\w{4}-\w{4}-\w{4}", RegexOptions.None, 1000)]
    private static partial Regex Passphrase();

    /// <summary>A writer that can be waited for.</summary>
    private sealed class Watched : StringWriter
    {
        private readonly TaskCompletionSource<string> _flushed = new(
            TaskCreationOptions.RunContinuationsAsynchronously
        );

        public override void Flush() => _flushed.TrySetResult(ToString());

        public async Task<string> WaitForAsync(string text, CancellationToken cancel)
        {
            string said = await _flushed.Task.WaitAsync(TimeSpan.FromSeconds(60), cancel);
            Assert.Contains(text, said, StringComparison.Ordinal);
            return said;
        }
    }
}
