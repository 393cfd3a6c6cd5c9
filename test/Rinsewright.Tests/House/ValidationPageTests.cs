using Rinsewright.Tests.Evidence;

namespace Rinsewright.Tests.House;

public sealed class ValidationPageTests
{
    private const string Page = "docs/validation.md";

    [Fact]
    public void The_page_shows_what_the_checks_find_today()
    {
        bool approve = Environment.GetEnvironmentVariable("RINSEWRIGHT_APPROVE") is "1";
        Assert.SkipUnless(
            approve || Environment.GetEnvironmentVariable("CI") is "true",
            "compared where CI=true, so that a model can be tried out before its page is rewritten"
        );
        string today = ValidationPage.Write(EvidenceTests.All.SelectMany(EvidenceTests.RowsOf));
        string path = Repository.PathOf(Page);
        if (approve)
        {
            File.WriteAllText(path, today);
        }

        Assert.True(File.Exists(path), $"{Page} is missing: RINSEWRIGHT_APPROVE=1 writes it");
        string[] found = today.Split('\n');
        string[] kept = File.ReadAllText(path).ReplaceLineEndings("\n").Split('\n');
        SourceTree.ExpectNone([
            .. found.Except(kept, StringComparer.Ordinal).Select(l => $"found: {l}"),
            .. kept.Except(found, StringComparer.Ordinal).Select(l => $"kept:  {l}"),
        ]);
    }

    [Fact]
    public void Every_source_of_a_check_is_in_the_bibliography() =>
        SourceTree.ExpectNone(
            EvidenceTests
                .All.SelectMany(EvidenceTests.RowsOf)
                .Where(r => !SourceKeyTests.NamesSource(r.SourceKey))
                .Select(r => $"{r.Model}, {r.Quantity}: {r.SourceKey}")
        );

    [Theory]
    [InlineData(0.1201, 1, "0.13 %")]
    [InlineData(0.1200001, 1, "0.12 %")]
    [InlineData(11.42, 11.5, "11.5 %")]
    [InlineData(11.53, 11.5, "12 %")]
    [InlineData(3, 5, "3 %")]
    [InlineData(1e-13, 1e-9, "round-off")]
    [InlineData(2e-10, 1, "round-off")]
    public void Errors_are_rounded_up_to_two_digits_or_three_next_to_what_is_allowed(
        double error,
        double tolerance,
        string shown
    )
    {
        var row = new EvidenceRow("m", "q", EvidenceKind.Identity, "identity", 1, error, tolerance, "%");
        Assert.Contains($"| {shown} |", ValidationPage.Write([row]), StringComparison.Ordinal);
    }
}
