using System.Diagnostics;

namespace Rinsewright.Compare;

/// <summary>Programs that the comparison starts.</summary>
internal static class ChildProcess
{
    /// <summary>Runs a program to its end and gives what it wrote; one that fails is an error.</summary>
    public static async Task<string> OutputAsync(string program, params string[] arguments)
    {
        (int code, string output, string errors) = await RunAsync(program, arguments);
        return code == 0
            ? output
            : throw new InvalidOperationException(
                $"{program} {string.Join(' ', arguments)} ended with {code}: {errors}"
            );
    }

    /// <summary>Runs a program to its end.</summary>
    public static async Task<(int Code, string Output, string Errors)> RunAsync(
        string program,
        params string[] arguments
    )
    {
        using Process process =
            Process.Start(
                new ProcessStartInfo(program, arguments)
                {
                    RedirectStandardOutput = true,
                    RedirectStandardError = true,
                    UseShellExecute = false,
                }
            ) ?? throw new InvalidOperationException($"{program} did not start.");
        Task<string> errors = process.StandardError.ReadToEndAsync();
        string output = await process.StandardOutput.ReadToEndAsync();
        await process.WaitForExitAsync();
        return (process.ExitCode, output, await errors);
    }
}
