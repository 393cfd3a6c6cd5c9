using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Forecasts;

/// <summary>What the record of a rig lacks before anything can be said of its bed.</summary>
public static class RigProblems
{
    public static InputProblem NoBed(Rig rig) =>
        new(rig.Name, Sentence.Of("no bed"), "a rig with a mixed bed, cation bed or anion bed");

    public static InputProblem Empty(Stage stage) =>
        new(stage.Name, Sentence.Of("empty"), "a fill, logged with its date");

    public static InputProblem NoVolume(Stage stage) =>
        new(stage.Name, Sentence.Of("volume not known"), "the settled volume of its resin");

    public static InputProblem NoWater(Rig rig) =>
        new(
            rig.Name,
            Sentence.Of("source water not known"),
            "a reading of the raw water, or a season of its source with a water file"
        );
}
