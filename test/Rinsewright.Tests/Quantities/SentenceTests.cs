using Rinsewright.Quantities;

namespace Rinsewright.Tests.Quantities;

public sealed class SentenceTests
{
    [Fact]
    public void A_sentence_keeps_its_text_and_its_values_apart_and_says_them_in_English()
    {
        var sentence = Sentence.Of($"It holds {Volume.FromLiters(12)} at {7.24:0.0} {"bar"}.");
        Assert.Equal("It holds {0} at {1} {2}.", sentence.Text);
        Assert.Equal([Volume.FromLiters(12), "7.2", "bar"], sentence.Values);
        Assert.Equal($"It holds {Volume.FromLiters(12)} at 7.2 bar.", sentence.ToString());
    }

    [Fact]
    public void Braces_of_a_text_stay_what_they_are()
    {
        Assert.Equal("one object { … }", Sentence.Of("one object { … }").ToString());
        Assert.Equal("{0} { 3 }", Sentence.Of($"{{0}} {{ {3} }}").ToString());
    }

    [Fact]
    public void Sentences_stand_in_a_row_or_within_another_and_keep_theirs()
    {
        var inner = Sentence.Of("too high");
        Sentence row = Sentence.Join(", ", inner, Sentence.Written("so {0} said"));
        Assert.Equal("too high, so {0} said", row.ToString());
        Assert.False(row.HasWords);
        Assert.Equal("Because: too high.", Sentence.Of($"Because: {inner}.").ToString());
        Assert.Equal(inner, Assert.Single(Sentence.Of($"Because: {inner}.").Values));
    }

    [Fact]
    public void Sentences_are_the_same_when_they_say_the_same()
    {
        Assert.Equal(Sentence.Of($"after {3} days"), Sentence.Of($"after {3} days"));
        Assert.NotEqual(Sentence.Of($"after {3} days"), Sentence.Of($"after {4} days"));
        Assert.Equal(
            Sentence.Of($"after {3} days").GetHashCode(),
            Sentence.Of($"after {3} days").GetHashCode()
        );
    }
}
