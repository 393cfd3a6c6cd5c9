using Rinsewright.Records.Logbook;

namespace Rinsewright.App.Tests.Records;

public sealed class ProblemListTests
{
    [Fact]
    public void What_somebody_wrote_is_a_value_and_what_the_program_says_of_it_are_words()
    {
        var problems = new ProblemList();
        problems.Require(holds: true, "note", $"{1 / Zero}", $"{1 / Zero} characters");
        problems.Require(holds: false, "note", $"{"so {0} said"}", "some words");
        problems.Require(holds: false, "note", $"{501} characters", $"at most {500}");
        Assert.Equal(
            ["note: so {0} said: some words", "note: 501 characters: at most 500"],
            problems.Problems.Select(p => p.ToString())
        );
        Assert.Equal([false, true], problems.Problems.Select(p => p.Text.HasWords));
        Assert.Equal("at most {0}", problems.Problems[1].Expected.Text);
    }

    /// <summary>Whoever divides by it before it is needed, fails.</summary>
    private static int Zero => 0;
}
