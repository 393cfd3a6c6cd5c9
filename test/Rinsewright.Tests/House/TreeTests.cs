using System.Text.RegularExpressions;

namespace Rinsewright.Tests.House;

/// <summary>What holds for the files as files.</summary>
public sealed partial class TreeTests
{
    /// <summary>Suppressions counted in src when this number was last set. Lower it when one goes.</summary>
    private const int RecordedSuppressions = 0;

    [Theory]
    [InlineData("rinsewright")]
    [InlineData("verify")]
    [InlineData(".ci/run")]
    [InlineData("rinsewright-bench")]
    [InlineData("packaging/make")]
    [InlineData("test/mutation/run")]
    [InlineData("bench/load/soak")]
    [InlineData("bench/load/grow")]
    [InlineData("bench/compare/cvode/build.sh")]
    public void The_launchers_can_be_run(string file)
    {
        Assert.StartsWith("#!/usr/bin/env bash\n", SourceTree.Read(file), StringComparison.Ordinal);
        Assert.True(
            OperatingSystem.IsWindows()
                || File.GetUnixFileMode(Repository.PathOf(file)).HasFlag(UnixFileMode.UserExecute)
        );
    }

    [Fact]
    public void No_source_file_has_500_lines()
    {
        string[] long_ =
        [
            .. SourceTree.Code("src").Where(f => f.Text.Count(c => c == '\n') >= 500).Select(f => f.File),
        ];
        SourceTree.ExpectNone(long_);
    }

    [Fact]
    public void No_work_is_left_open()
    {
        string self = $"{nameof(TreeTests)}.cs";
        SourceTree.ExpectNone(
            Found(OpenWork(), SourceTree.TextFiles.Where(f => !f.EndsWith(self, StringComparison.Ordinal)))
        );
    }

    [Fact]
    public void No_file_names_a_place_of_one_machine()
    {
        string self = $"{nameof(TreeTests)}.cs";
        SourceTree.ExpectNone(
            Found(MachinePath(), SourceTree.TextFiles.Where(f => !f.EndsWith(self, StringComparison.Ordinal)))
        );
    }

    [Fact]
    public void Every_suppression_has_its_reason_on_its_line_and_their_number_does_not_grow()
    {
        List<string> lines =
        [
            .. SourceTree
                .Code("src")
                .Concat(SourceTree.Code("test"))
                .Where(f => !f.File.EndsWith($"{nameof(TreeTests)}.cs", StringComparison.Ordinal))
                .SelectMany(f => f.Text.Split('\n').Select(line => $"{f.File}: {line.Trim()}"))
                .Where(line => Suppression().IsMatch(line)),
        ];
        Assert.All(lines, line => Assert.True(Reason().IsMatch(line), $"no reason on the same line: {line}"));
        int inSource = lines.Count(line => line.StartsWith("src/", StringComparison.Ordinal));
        Assert.True(inSource <= RecordedSuppressions, string.Join('\n', lines));
    }

    [Fact]
    public void Every_random_sample_is_the_same_in_every_run()
    {
        (string File, string Text)[] tests =
        [
            .. SourceTree
                .Code("test")
                .Where(f => f.Text.Contains("using CsCheck;", StringComparison.Ordinal)),
        ];
        Assert.Contains(tests, f => Sampling().IsMatch(f.Text));
        SourceTree.ExpectNone(
            tests.SelectMany(f =>
                Sampling()
                    .Matches(f.Text)
                    .Where(m => !m.Groups["repeat"].Success)
                    .Select(m => $"{f.File}, line {f.Text[..m.Index].Count(c => c == '\n') + 1}")
            )
        );
    }

    [Fact]
    public void Every_link_of_a_page_leads_somewhere()
    {
        List<string> broken = [];
        foreach (string page in SourceTree.TextFiles.Where(f => f.EndsWith(".md", StringComparison.Ordinal)))
        {
            string folder = Path.GetDirectoryName(Repository.PathOf(page))!;
            foreach (Match link in Link().Matches(SourceTree.Read(page)))
            {
                string target = link.Groups["target"].Value.Split('#')[0];
                bool outside = target.Contains("://", StringComparison.Ordinal) || target.Length == 0;
                if (!outside && !Path.Exists(Path.Combine(folder, Uri.UnescapeDataString(target))))
                {
                    broken.Add($"{page}: {target}");
                }
            }
        }

        SourceTree.ExpectNone(broken);
    }

    [Fact]
    public void Every_package_has_its_line_of_reason()
    {
        string reasons = SourceTree.Read("docs/decisions/0001-packages.md");
        string[] packages =
        [
            .. PackageVersion()
                .Matches(SourceTree.Read("Directory.Packages.props"))
                .Select(m => m.Groups["name"].Value),
        ];
        Assert.NotEmpty(packages);
        Assert.All(packages, p => Assert.Contains($"| {p} |", reasons, StringComparison.Ordinal));
    }

    private static IEnumerable<string> Found(Regex pattern, IEnumerable<string> files) =>
        files.SelectMany(f => pattern.Matches(SourceTree.Read(f)).Select(m => $"{f}: {m.Value}"));

    [GeneratedRegex(
        @"\b(TODO|FIXME|HACK|XXX)\b|NotImplementedException",
        RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex OpenWork();

    [GeneratedRegex(
        @"(?<![\w.])/(work|home|root|Users)/\w+|[A-Z]:\\Users|\.\./shared\b",
        RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex MachinePath();

    [GeneratedRegex(
        @"#pragma warning disable|SuppressMessage\(|<NoWarn>",
        RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex Suppression();

    [GeneratedRegex(
        """#pragma warning disable .*// \w+ \w+|Justification = "[^"]{10,}"|<!-- .* -->""",
        RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex Reason();

    [GeneratedRegex(@"(?<repeat>\.Repeat\(\w*\)\s*)?\.Sample\(", RegexOptions.ExplicitCapture, 10_000)]
    private static partial Regex Sampling();

    [GeneratedRegex(
        @"\]\((?<target>[^)\s]+)\)|src=""(?<target>[^""]+)""",
        RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex Link();

    [GeneratedRegex(
        @"<(?:Global)?Package(?:Version|Reference) Include=""(?<name>[^""]+)""",
        RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex PackageVersion();
}
