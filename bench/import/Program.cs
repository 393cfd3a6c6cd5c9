using System.CommandLine;
using System.Globalization;
using Microsoft.Data.Sqlite;
using Rinsewright.Compare;

namespace Rinsewright.Import;

/// <summary>
/// Imports a CSV file of readings into a record, and inserts the same rows by a bare prepared statement, in turn in one
/// run, so that both meet the same machine; prints the ratio of the rates.
/// Run: <c>dotnet run --project bench/import -c Release [-- --docs]</c>.
/// </summary>
internal static class Program
{
    private const double Budget = 0.5;

    private static Task<int> Main(string[] args)
    {
        var rows = new Option<int>("--rows") { DefaultValueFactory = _ => 1_000_000 };
        var rounds = new Option<int>("--rounds") { DefaultValueFactory = _ => 5 };
        var docs = new Option<bool>("--docs") { Description = "Write docs/performance-import.md." };
        var root = new RootCommand("Sets the import of readings against a bare prepared statement.")
        {
            rows,
            rounds,
            docs,
        };
        root.SetAction(
            async (parsed, cancel) =>
            {
                IReadOnlyList<Round> found = await RunAsync(parsed.GetValue(rows), parsed.GetValue(rounds));
                string page = Page(parsed.GetValue(rows), found);
                await Console.Out.WriteAsync(page);
                if (parsed.GetValue(docs))
                {
                    await File.WriteAllTextAsync(
                        Workplace.PathOf("docs/performance-import.md"),
                        page,
                        cancel
                    );
                }

                return 0;
            }
        );
        return root.Parse(args).InvokeAsync();
    }

    /// <summary>One import beside one bare loop.</summary>
    private sealed record Round(double Bare_s, double Import_s, double Load)
    {
        public double Ratio => Bare_s / Import_s;
    }

    private static async Task<IReadOnlyList<Round>> RunAsync(int rows, int rounds)
    {
        string folder = Directory.CreateTempSubdirectory("rinsewright-import-").FullName;
        try
        {
            string csv = Path.Combine(folder, "readings.csv");
            ReadingFile.Write(csv, rows);
            var found = new List<Round>();
            // The first round warms both up and is not counted.
            for (int round = 0; round <= rounds; round++)
            {
                string place = Path.Combine(folder, round.ToString(CultureInfo.InvariantCulture));
                Directory.CreateDirectory(place);
                double bare = BareLoop.Run(csv, Path.Combine(place, "bare.db"));
                double import = await RecordImport.RunAsync(csv, Path.Combine(place, "record"), rows);
                if (round > 0)
                {
                    found.Add(new Round(bare, import, Workplace.Load));
                }

                await Console.Error.WriteLineAsync(
                    FormattableString.Invariant($"round {round}: bare {bare:0.00} s, import {import:0.00} s")
                );
                SqliteConnection.ClearAllPools();
                Directory.Delete(place, recursive: true);
            }

            return found;
        }
        finally
        {
            SqliteConnection.ClearAllPools();
            Directory.Delete(folder, recursive: true);
        }
    }

    private static string Page(int rows, IReadOnlyList<Round> rounds)
    {
        double ratio = Median(rounds.Select(r => r.Ratio));
        using var page = new StringWriter(CultureInfo.InvariantCulture) { NewLine = "\n" };
        page.WriteLine("# Performance of the import");
        page.WriteLine();
        page.WriteLine(
            FormattableString.Invariant(
                $"Written by `dotnet run --project bench/import -c Release -- --docs`. Machine: {Workplace.Machine}. {Workplace.Sdk}. Commit {Workplace.Commit}."
            )
        );
        page.WriteLine();
        page.WriteLine(
            FormattableString.Invariant(
                $"{rows:N0} readings from a CSV file of six columns into an empty SQLite record, committed to the disk, against a bare Microsoft.Data.Sqlite loop over the same file in the same run: read a line, split it, bind, run the prepared statement, in one transaction into one table without indexes. The import also looks for the same reading (a unique index), checks every value, keeps the edit that one undo takes back (a second index) and gives each reading an id. Both wait for the disk as they commit. Budget: half of the bare loop's rate. Median ratio of {rounds.Count} rounds: **{ratio:P0}**, which is {(ratio >= Budget ? "within" : "short of")} the budget."
            )
        );
        page.WriteLine();
        page.WriteLine("| round | bare loop [rows/s] | import [rows/s] | ratio | load average |");
        page.WriteLine("| --- | --- | --- | --- | --- |");
        for (int i = 0; i < rounds.Count; i++)
        {
            Round r = rounds[i];
            page.WriteLine(
                FormattableString.Invariant(
                    $"| {i + 1} | {rows / r.Bare_s:N0} | {rows / r.Import_s:N0} | {r.Ratio:P0} | {r.Load:0.0} |"
                )
            );
        }

        return page.ToString();
    }

    private static double Median(IEnumerable<double> values)
    {
        double[] ordered = [.. values.Order()];
        int middle = ordered.Length / 2;
        return ordered.Length % 2 == 1 ? ordered[middle] : (ordered[middle - 1] + ordered[middle]) / 2;
    }
}
