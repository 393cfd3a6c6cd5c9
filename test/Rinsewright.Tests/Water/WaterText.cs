using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

/// <summary>Waters as people write them.</summary>
internal static class WaterText
{
    /// <summary>The water of a water file's text; 64 members where it leaves something open.</summary>
    public static SourceWater Complete(string json, WaterMode? mode = null)
    {
        Assert.True(
            WaterFile.TryRead(
                json,
                out WaterAnalysis? analysis,
                out IReadOnlyList<InputProblem> problems,
                out _
            ),
            string.Join('\n', problems)
        );
        SourceWater? water = SourceWater.Complete(analysis, mode ?? new WaterMode(), 64, 1, out problems);
        Assert.True(water is not null, string.Join('\n', problems));
        return water;
    }
}
