namespace Rinsewright.Cli;

internal static class Program
{
    private static async Task<int> Main(string[] args)
    {
        using Terminal terminal = Terminal.OfThisProcess();
        return await Commands.RunAsync(args, terminal);
    }
}
