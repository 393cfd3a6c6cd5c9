using System.Diagnostics;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Records;

/// <summary>Another process that writes into a record and says after each write that it was acknowledged.</summary>
internal sealed class WritingProcess : IDisposable
{
    public const int ImportedRows = 40;
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(4);
    private readonly Process _process;

    public WritingProcess(StoreAddress address, string name)
    {
        string program = Path.Combine(AppContext.BaseDirectory, "Rinsewright.Writer.dll");
        _process = Process.Start(
            new ProcessStartInfo("dotnet", [program, name, address.Folder ?? address.ConnectionString!])
            {
                RedirectStandardOutput = true,
                UseShellExecute = false,
            }
        )!;
    }

    /// <summary>The next acknowledged write.</summary>
    public async Task<string> NextAsync() =>
        await _process.StandardOutput.ReadLineAsync().WaitAsync(Patience)
        ?? throw new InvalidOperationException("The writer has stopped by itself.");

    /// <summary>Kills it as <c>kill -9</c> does; returns what it had still acknowledged.</summary>
    public async Task<string[]> KillAsync()
    {
        _process.Kill();
        string rest = await _process.StandardOutput.ReadToEndAsync();
        await _process.WaitForExitAsync();
        // A line without its end was not yet said.
        return rest[..(rest.LastIndexOf('\n') + 1)].Split('\n', StringSplitOptions.RemoveEmptyEntries);
    }

    public void Dispose()
    {
        if (!_process.HasExited)
        {
            _process.Kill();
        }

        _process.Dispose();
    }
}
