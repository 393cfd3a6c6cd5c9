using System.CommandLine;

namespace Rinsewright.Compare;

internal static class Program
{
    private static Task<int> Main(string[] args)
    {
        var quick = new Option<bool>("--quick")
        {
            Description = "Coarser reference, fewer settings and repeats: under two minutes.",
        };
        var docs = new Option<bool>("--docs")
        {
            Description = "Write docs/performance.md and its pictures instead of artifacts/compare.",
        };
        var root = new RootCommand(
            "Solves the same bed lives with Rinsewright and with SUNDIALS CVODE and sets error against time."
        )
        {
            quick,
            docs,
        };
        root.SetAction(
            async (parsed, _) =>
            {
                var comparison = new Comparison(parsed.GetValue(quick), Console.Error.WriteLine);
                string folder = Workplace.PathOf(parsed.GetValue(docs) ? "docs" : "artifacts/compare");
                await Console.Out.WriteLineAsync(await comparison.RunAsync(folder));
                return 0;
            }
        );
        return root.Parse(args).InvokeAsync();
    }
}
