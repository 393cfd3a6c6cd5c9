using System.CommandLine;
using System.Globalization;
using Rinsewright.Compare;
using Rinsewright.Records.Storage;

namespace Rinsewright.Load;

/// <summary>
/// Rigs that report once a minute, from a process of their own. First <c>prepare</c> writes them into a record and their keys into a
/// file; then <c>run</c> reports for them to the servers that are named and prints how long each answer took.
/// </summary>
internal static class Program
{
    private static Task<int> Main(string[] args)
    {
        var root = new RootCommand("Reports for many rigs and measures the answers.") { Prepare(), Run() };
        return root.Parse(args).InvokeAsync();
    }

    private static Command Prepare()
    {
        var data = new Option<string>("--data") { Required = true };
        var keys = new Option<FileInfo>("--keys") { Required = true };
        var rigs = new Option<int>("--rigs") { DefaultValueFactory = _ => 10_000 };
        var command = new Command("prepare", "Writes rigs and devices into an empty record.")
        {
            data,
            keys,
            rigs,
        };
        command.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await LogbookStore.OpenAsync(
                    StoreAddress.Parse(line.GetValue(data), _ => null),
                    TimeProvider.System,
                    cancel
                );
                await File.WriteAllLinesAsync(
                    line.GetValue(keys)!.FullName,
                    await Rigs.AddAsync(store, line.GetValue(rigs), cancel),
                    cancel
                );
                return 0;
            }
        );
        return command;
    }

    private static Command Run()
    {
        var keys = new Option<FileInfo>("--keys") { Required = true };
        var rate = new Option<double>("--rate")
        {
            Description = "Rows a second, of all rigs together; 10 000 rigs once a minute are 167.",
            DefaultValueFactory = _ => 10_000 / 60.0,
        };
        var seconds = new Option<int>("--seconds") { DefaultValueFactory = _ => 120 };
        var data = new Option<string?>("--data") { Description = "The record, to count what is in it." };
        var servers = new Argument<string[]>("SERVER") { Arity = ArgumentArity.OneOrMore };
        var command = new Command("run", "Reports and measures.") { keys, rate, seconds, data, servers };
        command.SetAction(
            async (line, cancel) =>
            {
                string[] all = await File.ReadAllLinesAsync(line.GetValue(keys)!.FullName, cancel);
                Uri[] to = [.. line.GetValue(servers)!.Select(s => new Uri(s))];
                double load = Workplace.Load;
                Answers answers = await Reporting.RunAsync(
                    all,
                    to,
                    line.GetValue(rate),
                    TimeSpan.FromSeconds(line.GetValue(seconds)),
                    cancel
                );
                await Console.Out.WriteLineAsync(
                    FormattableString.Invariant(
                        $"{all.Length} rigs, {to.Length} server(s): {answers}; load average before {load:0.0}, after {Workplace.Load:0.0}"
                    )
                );
                if (line.GetValue(data) is { } address)
                {
                    await Console.Out.WriteLineAsync(
                        await Rigs.CountAsync(StoreAddress.Parse(address, _ => null), cancel)
                    );
                }

                await Console.Out.WriteLineAsync(
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{Workplace.Machine}; {Workplace.Sdk}; commit {Workplace.Commit}"
                    )
                );
                return answers.Failed == 0 ? 0 : 1;
            }
        );
        return command;
    }
}
