using System.CommandLine;

namespace Rinsewright.Cli;

internal static class Program
{
    private static int Main(string[] args)
    {
        var root = new RootCommand("Make, keep and prove spot-free wash water.");
        return root.Parse(args).Invoke();
    }
}
