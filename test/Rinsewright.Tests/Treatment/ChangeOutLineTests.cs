using CsCheck;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Tests.Treatment;

public sealed class ChangeOutLineTests
{
    [Theory]
    [InlineData("10 ppm", LineKind.MeterReading, 10)]
    [InlineData("8 mg/L", LineKind.MeterReading, 8)]
    [InlineData("20 uS/cm", LineKind.Conductivity, 20)]
    [InlineData("5 mg/L residue", LineKind.Residue, 5)]
    [InlineData(" 1 mg/L Silica ", LineKind.Silica, 1)]
    [InlineData("20 mg/m2", LineKind.Spots, 20)]
    public void A_line_is_a_reading_a_conductivity_a_residue_or_silica(
        string text,
        LineKind kind,
        double value
    )
    {
        Assert.True(ChangeOutLine.TryParse("--line", text, out ChangeOutLine? line, out _));
        Assert.Equal(kind, line.Kind);
        Assert.Equal(value, line.Value, 1e-9 * value);
    }

    [Theory]
    [InlineData("")]
    [InlineData("ten")]
    [InlineData("10")]
    [InlineData("0 ppm")]
    [InlineData("<10 ppm")]
    [InlineData("20 uS/cm silica")]
    public void Anything_else_is_refused_with_what_would_be_right(string text)
    {
        Assert.False(ChangeOutLine.TryParse("--line", text, out _, out InputProblem? problem));
        Assert.Equal(text, problem.Text.ToString());
        Assert.Contains("ppm", problem.Expected.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void No_text_makes_reading_throw() =>
        Gen
            .String.Repeat()
            .Sample(text =>
                ChangeOutLine.TryParse("--line", text, out ChangeOutLine? line, out InputProblem? problem)
                    ? line.Value > 0 && problem is null
                    : line is null && problem is not null
            );
}
