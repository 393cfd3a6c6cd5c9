using System.Text.RegularExpressions;

namespace Rinsewright.Tests.House;

/// <summary>What SECURITY.md says is held by a test is.</summary>
public sealed partial class SecurityPageTests
{
    [Fact]
    public void Every_test_that_the_page_names_exists()
    {
        string page = File.ReadAllText(Repository.PathOf("SECURITY.md"));
        List<(string File, string Text)> tests = [.. SourceTree.Code("test")];
        (string Class, string Method)[] named =
        [
            .. Named()
                .Matches(page)
                .Select(m => (m.Groups["class"].Value, m.Groups["method"].Value))
                .Distinct(),
        ];
        Assert.True(named.Length >= 20, $"only {named.Length} tests are named");
        SourceTree.ExpectNone([
            .. named
                .Where(n =>
                    !tests.Exists(t =>
                        t.Text.Contains($"class {n.Class}", StringComparison.Ordinal)
                        && t.Text.Contains($" {n.Method}(", StringComparison.Ordinal)
                    )
                )
                .Select(n => $"{n.Class}.{n.Method}"),
        ]);
    }

    [GeneratedRegex(@"`(?<class>\w+Tests)\.(?<method>\w+)`", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Named();
}
