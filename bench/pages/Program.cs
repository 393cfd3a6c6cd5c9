using System.CommandLine;
using System.Globalization;
using System.Text;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using Rinsewright.Compare;
using Rinsewright.Records.Demo;
using Rinsewright.Records.Fleet;
using Rinsewright.Records.Storage;

namespace Rinsewright.Pages;

/// <summary>
/// Fills a record with years of the made-up firm's days, and others with the rigs of a made-up operator; serves each by the launcher in a
/// process of its own, and asks for the pages as a browser does. Run:
/// <c>dotnet run --project bench/pages -c Release [-- --docs] [-- --postgres "Host=…;Database=…"]</c>.
/// </summary>
internal static class Program
{
    private const int Seed = 1;
    private const double DaysPerYear = 365.25;
    private const int Times = 100;
    private const int Vans = 40;

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

    private static readonly (string Name, string Address)[] OfManyRigs =
    [
        ("first page of the board", "/fleet"),
        ("last page of the board", "/fleet?page=200"),
        ("a name, and one reason", "/fleet?text=Mill+Lane+12&reason=due_this_week"),
        ("the week's round of one van", "/fleet/week?van=Van+04"),
        ("the week's rounds of all vans", "/fleet/week"),
        ("the board from the API", "/api/fleet"),
    ];

    private static Task<int> Main(string[] args)
    {
        var years = new Option<int>("--years") { DefaultValueFactory = _ => 10 };
        var rigs = new Option<int>("--rigs") { DefaultValueFactory = _ => 10_000 };
        var postgres = new Option<string?>("--postgres")
        {
            Description = "An empty database, to ask for the pages of many rigs there too.",
        };
        var docs = new Option<bool>("--docs") { Description = "Write docs/performance-pages.md." };
        var root = new RootCommand("Measures the pages on records of many years and of many rigs.")
        {
            years,
            rigs,
            postgres,
            docs,
        };
        root.SetAction(
            async (line, cancel) =>
            {
                string folder = Directory.CreateTempSubdirectory("rinsewright-pages").FullName;
                try
                {
                    int count = line.GetValue(rigs);
                    var page = new StringBuilder();
                    async Task AddAsync(string part)
                    {
                        page.Append(part);
                        await Console.Out.WriteAsync(part);
                        if (line.GetValue(docs))
                        {
                            await File.WriteAllTextAsync(
                                Workplace.PathOf("docs/performance-pages.md"),
                                page.ToString(),
                                cancel
                            );
                        }
                    }

                    await AddAsync(await MeasureAsync(folder, line.GetValue(years), cancel));
                    await AddAsync(
                        await MeasureRigsAsync("SQLite", Path.Combine(folder, "rigs"), count, cancel)
                    );
                    if (line.GetValue(postgres) is { } database)
                    {
                        await AddAsync(await MeasureRigsAsync("PostgreSQL", database, count, cancel));
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

    /// <summary>The pages that show all rigs of an operator, on an empty record.</summary>
    private static async Task<string> MeasureRigsAsync(
        string kind,
        string data,
        int count,
        CancellationToken cancel
    )
    {
        await using (
            LogbookStore store = await LogbookStore.OpenAsync(
                StoreAddress.Parse(data, _ => null),
                TimeProvider.System,
                cancel
            )
        )
        {
            await new ManyRigs(store, Seed).WriteAsync(count, Vans, cancel);
            await new FleetBoard(store).FollowAsync(cancel);
        }

        await using Serving serving = await Serving.StartAsync(data, cancel);
        List<PageTimes> pages = [];
        foreach ((string name, string address) in OfManyRigs)
        {
            pages.Add(await serving.TimeAsync(name, _ => address, Times, cancel));
        }

        using var page = new StringWriter(CultureInfo.InvariantCulture) { NewLine = "\n" };
        page.WriteLine();
        page.WriteLine(
            FormattableString.Invariant(
                $"## {count:N0} rigs, {kind}\n\nMade up, with three stages each, {Vans} vans and kept forecasts; each page {Times} times, while the server looks through all of them for alarms, as it does after a start. Load average {Workplace.Load:0.0} at the end."
            )
        );
        Write(page, pages);
        return page.ToString();
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
        Write(page, pages);
        return page.ToString();
    }

    private static void Write(StringWriter page, IReadOnlyList<PageTimes> pages)
    {
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
    }

    private static string BudgetOf(string page) =>
        page switch
        {
            "/" => "50",
            "what-if, never asked before" => "300",
            _ => "none",
        };
}
