using Rinsewright.Quantities;

namespace Rinsewright.Tests.Quantities;

/// <summary>A text about a concentration that has to be read.</summary>
internal static class ReadConcentration
{
    public static Stated<MolarConcentration> Of(string text, Analyte analyte)
    {
        Assert.True(
            QuantityText.TryParseConcentration(
                "t",
                text,
                analyte,
                out Stated<MolarConcentration> stated,
                out InputProblem? problem
            ),
            problem?.ToString()
        );
        return stated;
    }
}
