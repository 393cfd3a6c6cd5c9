using System.Diagnostics;
using Microsoft.Data.Sqlite;

namespace Rinsewright.App.Tests.Records;

/// <summary>A file system of four megabytes (tmpfs), with a ballast file to make room again. Mounting needs root on Linux.</summary>
internal sealed class SmallDisk : IAsyncDisposable
{
    private SmallDisk(string folder) => Folder = folder;

    public string Folder { get; }

    public string Ballast => Path.Combine(Folder, "ballast");

    public static async Task<SmallDisk> MountAsync()
    {
        var disk = new SmallDisk(Directory.CreateTempSubdirectory("rinsewright-disk-").FullName);
        bool isMounted =
            OperatingSystem.IsLinux()
            && await RunAsync("mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", disk.Folder);
        if (!isMounted)
        {
            Directory.Delete(disk.Folder);
            Assert.Skip("a small file system cannot be mounted here (it needs root on Linux)");
        }

        await File.WriteAllBytesAsync(disk.Ballast, new byte[1_000_000]);
        return disk;
    }

    public async Task MakeReadOnlyAsync() => Assert.True(await RunAsync("mount", "-o", "remount,ro", Folder));

    public async ValueTask DisposeAsync()
    {
        SqliteConnection.ClearAllPools();
        await RunAsync("umount", "-l", Folder);
        Directory.Delete(Folder);
    }

    private static async Task<bool> RunAsync(string program, params string[] args)
    {
        using Process process = Process.Start(
            new ProcessStartInfo(program, args) { RedirectStandardError = true, UseShellExecute = false }
        )!;
        await process.WaitForExitAsync();
        return process.ExitCode == 0;
    }
}
