using System.Diagnostics;
using System.Globalization;
using System.Reflection;
using System.Runtime.InteropServices;

namespace Rinsewright.Compare;

/// <summary>Where this checkout lies and what machine it runs on.</summary>
internal static class Workplace
{
    public static string Root { get; } =
        typeof(Workplace)
            .Assembly.GetCustomAttributes<AssemblyMetadataAttribute>()
            .Single(a => string.Equals(a.Key, "RepositoryRoot", StringComparison.Ordinal))
            .Value!;

    public static string PathOf(string relative) => Path.Combine(Root, relative);

    /// <summary>Processor, cores and SIMD width.</summary>
    public static string Machine
    {
        get
        {
            string model = File.Exists("/proc/cpuinfo")
                ? File.ReadLines("/proc/cpuinfo")
                    .First(l => l.StartsWith("model name", StringComparison.Ordinal))
                    .Split(": ")[1]
                : RuntimeInformation.ProcessArchitecture.ToString();
            int bits = System.Runtime.Intrinsics.Vector512.IsHardwareAccelerated ? 512 : 256;
            return $"{model}, {Environment.ProcessorCount} cores, {bits}-bit vectors, {RuntimeInformation.OSDescription}";
        }
    }

    /// <summary>How busy the machine is, as its load average of a minute, or NaN where that is not told.</summary>
    public static double Load =>
        File.Exists("/proc/loadavg")
            ? double.Parse(File.ReadAllText("/proc/loadavg").Split(' ')[0], CultureInfo.InvariantCulture)
            : double.NaN;

    public static string Sdk => RuntimeInformation.FrameworkDescription;

    /// <summary>The commit checked out, marked when files differ from it.</summary>
    public static string Commit
    {
        get
        {
            string commit = Git("rev-parse", "--short", "HEAD");
            string changed = Git("status", "--porcelain", "--untracked-files=no");
            return changed.Length == 0 ? commit : $"{commit} and local changes";
        }
    }

    private static string Git(params string[] arguments)
    {
        using Process? git = Process.Start(
            new ProcessStartInfo("git", arguments)
            {
                WorkingDirectory = Root,
                RedirectStandardOutput = true,
                RedirectStandardError = true,
                UseShellExecute = false,
            }
        );
        string output = git?.StandardOutput.ReadToEnd().Trim() ?? "";
        git?.WaitForExit();
        return output;
    }
}
