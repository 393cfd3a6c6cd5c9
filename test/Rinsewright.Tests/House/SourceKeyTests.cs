using System.Text.Json;
using System.Text.RegularExpressions;
using Rinsewright.Tests.Evidence;

namespace Rinsewright.Tests.House;

/// <summary>Every number leads to its source, and every equation to its page.</summary>
public sealed partial class SourceKeyTests
{
    private const string Bibliography = "docs/references.bib";

    private static readonly string[] StatusWords = ["found", "memory", "computed"];

    private static readonly HashSet<string> Keys =
    [
        .. Entry().Matches(SourceTree.Read(Bibliography)).Select(m => m.Groups["key"].Value),
    ];

    [Fact]
    public void Keys_are_alphabetical_and_occur_once()
    {
        string[] keys =
        [
            .. Entry().Matches(SourceTree.Read(Bibliography)).Select(m => m.Groups["key"].Value),
        ];
        Assert.NotEmpty(keys);
        Assert.Equal([.. keys.Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal)], keys);
    }

    [Fact]
    public void Every_entry_is_used()
    {
        string everything = string.Join(
            '\n',
            SourceTree
                .TextFiles.Where(f => !string.Equals(f, Bibliography, StringComparison.Ordinal))
                .Select(SourceTree.Read)
        );
        HashSet<string> words = [.. Word().Matches(everything).Select(m => m.Value)];
        SourceTree.ExpectNone(Keys.Except(words, StringComparer.Ordinal));
    }

    [Fact]
    public void Every_table_names_its_source_its_status_and_its_tolerance()
    {
        List<string> problems = [];
        foreach (string file in Tables())
        {
            string header = string.Join(
                '\n',
                File.ReadLines(Repository.PathOf(file)).TakeWhile(l => l.StartsWith('#'))
            );
            DataTable table = DataTable.Read(file);
            bool Says(string word) =>
                header.Contains(word, StringComparison.OrdinalIgnoreCase)
                || table.Columns.Any(c => c.Contains(word, StringComparison.OrdinalIgnoreCase));
            if (!NamesSource(header) && !Says("source"))
            {
                problems.Add($"{file}: no key of {Bibliography} in its header");
            }

            if (
                !StatusWords.Any(w => header.Contains(w, StringComparison.OrdinalIgnoreCase))
                && !Says("status")
            )
            {
                problems.Add($"{file}: does not say whether it was found, is from memory or was computed");
            }

            if (!Says("toleranc"))
            {
                problems.Add($"{file}: does not say its tolerance and why");
            }

            if (table.Columns.Contains("source", StringComparer.Ordinal))
            {
                problems.AddRange(
                    table
                        .Rows.Select(r => r.Text("source"))
                        .Distinct(StringComparer.Ordinal)
                        .Where(s => !NamesSource(s))
                        .Select(s => $"{file}: unknown source '{s}'")
                );
            }
        }

        SourceTree.ExpectNone(problems);
    }

    [Fact]
    public void Every_parameter_names_its_source()
    {
        List<string> problems = [];
        foreach (
            string file in SourceTree.TextFiles.Where(f =>
                f.StartsWith("data/", StringComparison.Ordinal)
                && f.EndsWith(".json", StringComparison.Ordinal)
            )
        )
        {
            using var json = JsonDocument.Parse(
                SourceTree.Read(file),
                new JsonDocumentOptions { CommentHandling = JsonCommentHandling.Skip }
            );
            string[] sources = [.. Sources(json.RootElement).Distinct(StringComparer.Ordinal)];
            problems.AddRange(
                sources.Where(s => !NamesSource(s)).Select(s => $"{file}: unknown source '{s}'")
            );
            if (sources.Length == 0)
            {
                problems.Add($"{file}: no source");
            }
        }

        SourceTree.ExpectNone(problems);
    }

    [Fact]
    public void Every_equation_in_code_stands_in_its_page_and_every_equation_of_a_page_in_code()
    {
        string code = string.Join('\n', SourceTree.Code("src").Select(f => f.Text));
        HashSet<string> tags =
        [
            .. Tag().Matches(code).SelectMany(m => m.Groups["label"].Captures).Select(c => c.Value),
        ];
        Dictionary<string, string> labels = new(StringComparer.Ordinal);
        HashSet<string> named = new(StringComparer.Ordinal);
        foreach (
            string page in SourceTree.TextFiles.Where(f =>
                f.StartsWith("docs/models/", StringComparison.Ordinal)
            )
        )
        {
            string text = SourceTree.Read(page);
            named.UnionWith(Word().Matches(text).Select(m => m.Value));
            foreach (Match row in Label().Matches(text))
            {
                Assert.True(
                    labels.TryAdd(row.Groups["label"].Value, row.Value),
                    $"{row.Groups["label"].Value} stands twice"
                );
            }
        }

        Assert.NotEmpty(tags);
        SourceTree.ExpectNone(tags.Except(named, StringComparer.Ordinal).Select(t => $"in code only: {t}"));
        SourceTree.ExpectNone(
            labels
                .Where(l =>
                    !tags.Contains(l.Key) && !l.Value.Contains("background", StringComparison.Ordinal)
                )
                .Select(l => $"in its page only, and not marked background: {l.Key}")
        );
    }

    internal static bool NamesSource(string text) =>
        Own().IsMatch(text) || Word().Matches(text).Any(m => Keys.Contains(m.Value));

    private static IEnumerable<string> Tables() =>
        SourceTree.TextFiles.Where(f =>
            f.StartsWith("data/", StringComparison.Ordinal) && f.EndsWith(".csv", StringComparison.Ordinal)
        );

    private static IEnumerable<string> Sources(JsonElement element) =>
        element.ValueKind switch
        {
            JsonValueKind.Object => element
                .EnumerateObject()
                .SelectMany(p =>
                    p.NameEquals("source") && p.Value.ValueKind == JsonValueKind.String
                        ? [p.Value.GetString()!]
                        : Sources(p.Value)
                ),
            JsonValueKind.Array => element.EnumerateArray().SelectMany(Sources),
            _ => [],
        };

    /// <summary>What stands in place of a key where there is no outside source.</summary>
    [GeneratedRegex(
        @"\b(identity|order|common practice, no source|our choice|computed|estimate)\b",
        RegexOptions.IgnoreCase | RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex Own();

    [GeneratedRegex(@"^@\w+\{(?<key>[^,\s]+),", RegexOptions.Multiline, 10_000)]
    private static partial Regex Entry();

    [GeneratedRegex(@"[\p{L}\p{N}_]+(?:-[\p{L}\p{N}_]+)*", RegexOptions.ExplicitCapture, 10_000)]
    private static partial Regex Word();

    [GeneratedRegex(
        @"//.*?\beq\. (?<label>[a-z]+-\d+)(?:(?:, | and | to |–)(?<label>[a-z]+-\d+))*",
        RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex Tag();

    [GeneratedRegex(@"^\| (?<label>[a-z]+-\d+) \|.*$", RegexOptions.Multiline, 10_000)]
    private static partial Regex Label();
}
