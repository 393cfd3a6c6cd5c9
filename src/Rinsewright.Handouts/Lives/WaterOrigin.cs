using Rinsewright.Quantities;

namespace Rinsewright.Handouts.Lives;

/// <summary>Where a water comes from, as a person knows it: it bounds the hardness where none was measured.</summary>
/// <param name="Word">What it is called on the command line and in addresses.</param>
/// <param name="InWords">What it is, for people.</param>
/// <param name="Hardness">Hardness as a water file states it; the ends are taken as the 5th and 95th percentile; our choice.</param>
public sealed record WaterOrigin(string Word, Sentence InWords, string Hardness)
{
    /// <summary>The origins that can be told apart without a test.</summary>
    public static IReadOnlyList<WaterOrigin> All { get; } =
    [
        new("upland", Sentence.Of("soft water from hills, moors or granite"), "4-60 mg/L as CaCO3"),
        new("river", Sentence.Of("a lowland river, lake or reservoir"), "50-250 mg/L as CaCO3"),
        new("chalk", Sentence.Of("ground water from chalk or limestone"), "180-400 mg/L as CaCO3"),
        new("softened", Sentence.Of("behind a household softener"), "1-20 mg/L as CaCO3"),
        new("rain", Sentence.Of("collected rain"), "0.5-10 mg/L as CaCO3"),
    ];
}
