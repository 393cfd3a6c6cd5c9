using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using Rinsewright.Compare;
using Rinsewright.Records.Demo;
using Rinsewright.Records.Storage;

namespace Rinsewright.Pages;

/// <summary>
/// Fills a record with years of the made-up firm's days, serves it by the launcher in a process of its own, and asks for the pages as a
/// browser does. Run: <c>dotnet run --project bench/pages -c Release [-- --docs]</c>.
/// </summary>
internal static class Program
{
    private const int Seed = 1;
    private const double DaysPerYear = 365.25;
    private const int Times = 100;

    private static readonly string[] Addresses =
    [
        "/",
        "/logbook",
        "/water",
        "/rig",
        "/choose",
        "/dry-down",
        "/money",
        "/share",
    ];

    private static Task<int> Main(string[] args)
    {
        var years = new Option<int>("--years") { DefaultValueFactory = _ => 10 };
        var docs = new Option<bool>("--docs") { Description = "Write docs/performance-pages.md." };
        var root = new RootCommand("Measures the pages on a record of many years.") { years, docs };
        root.SetAction(
            async (line, cancel) =>
            {
                string folder = Directory.CreateTempSubdirectory("rinsewright-pages").FullName;
                try
                {
                    string page = await MeasureAsync(folder, line.GetValue(years), cancel);
                    await Console.Out.WriteAsync(page);
                    if (line.GetValue(docs))
                    {
                        await File.WriteAllTextAsync(
                            Workplace.PathOf("docs/performance-pages.md"),
                            page,
                            cancel
                        );
                    }

                    return 0;
                }
                finally
                {
                    SqliteConnection.ClearAllPools();
                    Directory.Delete(folder, recursive: true);
                }
            }
        );
        return root.Parse(args).InvokeAsync();
    }

    private static async Task<string> MeasureAsync(string folder, int years, CancellationToken cancel)
    {
        StoreAddress record = StoreAddress.InFolder(folder);
        var today = DateOnly.FromDateTime(TimeProvider.System.GetUtcNow().UtcDateTime);
        await TwoVans.FillAsync(record, Seed, today, (int)(years * DaysPerYear), cancel);
        (int draws, int readings) = await CountAsync(record, cancel);
        double before = Workplace.Load;
        await using Serving serving = await Serving.StartAsync(folder, cancel);
        FirstLoad first = await serving.FirstLoadAsync(cancel);
        await serving.SettleAsync(cancel);
        List<PageTimes> pages = [];
        foreach (string address in Addresses)
        {
            pages.Add(await serving.TimeAsync(address, _ => address, Times, cancel));
        }

        JsonElement rig = (await serving.JsonAsync("/api/rigs", cancel))[0];
        string id = rig.GetProperty("id").GetString()!;
        pages.Add(
            await serving.TimeAsync(
                "what-if, never asked before",
                // Each time another flow and volume, so that no answer is kept from before.
                n =>
                    FormattableString.Invariant(
                        $"/api/rigs/{id}/what-if?flow={4 + (0.1 * n):0.0}&temperature={5 + (n % 20)}&volume={5 + (0.2 * n):0.0}"
                    ),
                Times,
                cancel
            )
        );
        return Page(years, draws, readings, first, pages, (before, Workplace.Load));
    }

    private static async Task<(int Draws, int Readings)> CountAsync(
        StoreAddress record,
        CancellationToken cancel
    )
    {
        await using LogbookStore store = await LogbookStore.OpenAsync(record, TimeProvider.System, cancel);
        await using LogbookContext context = store.Read();
        return (
            context.Live<Records.Logbook.Draw>().Count(),
            context.Live<Records.Logbook.Reading>().Count()
        );
    }

    private static string Page(
        int years,
        int draws,
        int readings,
        FirstLoad first,
        IReadOnlyList<PageTimes> pages,
        (double Before, double After) load
    )
    {
        using var page = new StringWriter(CultureInfo.InvariantCulture) { NewLine = "\n" };
        page.WriteLine("# Performance of the pages");
        page.WriteLine();
        page.WriteLine(
            FormattableString.Invariant(
                $"Written by `dotnet run --project bench/pages -c Release -- --docs`. Machine: {Workplace.Machine}. {Workplace.Sdk}. Commit {Workplace.Commit}. Load average {load.Before:0.0} before, {load.After:0.0} after."
            )
        );
        page.WriteLine();
        page.WriteLine(
            FormattableString.Invariant(
                $"The made-up firm's record with {years} years of days: {draws:N0} draws and {readings:N0} readings of four rigs, in SQLite, served by the launcher in a process of its own. Times are those of a client on the same machine, from asking to the last byte, so that they are no less than what the server takes; each page {Times} times, warm, one after the other."
            )
        );
        page.WriteLine();
        page.WriteLine(
            FormattableString.Invariant(
                $"First load of Today, with what it links, over the wire: **{first.Bytes / 1024.0:0} KiB** in {first.Files} files (budget 200 KiB)."
            )
        );
        page.WriteLine();
        page.WriteLine("| page | median [ms] | p95 [ms] | slowest [ms] | KiB over the wire | budget [ms] |");
        page.WriteLine("| --- | --- | --- | --- | --- | --- |");
        foreach (PageTimes of in pages)
        {
            page.WriteLine(
                FormattableString.Invariant(
                    $"| {of.Name} | {of.At(0.5):0.0} | {of.At(0.95):0.0} | {of.At(1):0.0} | {of.Bytes / 1024.0:0.0} | {BudgetOf(of.Name)} |"
                )
            );
        }

        return page.ToString();
    }

    private static string BudgetOf(string page) =>
        page switch
        {
            "/" => "50",
            "what-if, never asked before" => "300",
            _ => "none",
        };
}
