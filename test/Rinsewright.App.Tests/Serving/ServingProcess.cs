using System.Diagnostics;
using System.Text.RegularExpressions;

namespace Rinsewright.App.Tests.Serving;

/// <summary>The program as an operator runs it: <c>rinsewright serve</c> in a process of its own, stopped by signals.</summary>
internal sealed partial class ServingProcess : IAsyncDisposable
{
    /// <summary>After which a test gives up; on a machine that has nothing else to do everything takes seconds.</summary>
    public static readonly TimeSpan Patience = TimeSpan.FromMinutes(3);

    private readonly Process _process;
    private readonly Task<string> _errors;

    private ServingProcess(Process process)
    {
        _process = process;
        _errors = process.StandardError.ReadToEndAsync();
    }

    public Uri Address { get; private set; } = null!;

    /// <summary>Starts it and waits until it says where it serves.</summary>
    public static async Task<ServingProcess> StartAsync(params string[] args)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "there are no signals on Windows");
        string program = Path.Combine(AppContext.BaseDirectory, "Rinsewright.Cli.dll");
        var start = new ProcessStartInfo("dotnet", [program, "serve", .. args])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            UseShellExecute = false,
        };
        start.Environment["DOTNET_TieredPGO"] = "0";
        var serving = new ServingProcess(Process.Start(start)!);
        try
        {
            using var limit = new CancellationTokenSource(Patience);
            string said = "";
            while (!Ready().IsMatch(said))
            {
                string? line = await serving._process.StandardOutput.ReadLineAsync(limit.Token);
                said += (line ?? throw new InvalidOperationException(await serving._errors)) + " ";
            }

            serving.Address = new Uri(Ready().Match(said).Groups["address"].Value);
            return serving;
        }
        catch
        {
            await serving.DisposeAsync();
            throw;
        }
    }

    /// <summary>Sends a signal: TERM, KILL, STOP, CONT.</summary>
    public async Task SignalAsync(string name)
    {
        using Process kill = Process.Start("kill", [$"-{name}", $"{_process.Id}"]);
        await kill.WaitForExitAsync();
        Assert.Equal(0, kill.ExitCode);
    }

    /// <summary>Waits until it has ended; returns its exit code and what it wrote to the error stream.</summary>
    public async Task<(int ExitCode, string Errors)> EndAsync()
    {
        using var limit = new CancellationTokenSource(Patience);
        await _process.WaitForExitAsync(limit.Token);
        return (_process.ExitCode, await _errors);
    }

    public async ValueTask DisposeAsync()
    {
        if (!_process.HasExited)
        {
            _process.Kill();
            await _process.WaitForExitAsync();
        }

        _process.Dispose();
    }

    [GeneratedRegex(
        @"(?<address>http://localhost:\d+/?)\. Ctrl\+C\s+stops",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex Ready();
}
