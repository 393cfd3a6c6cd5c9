namespace Rinsewright.Handouts;

/// <summary>What can hurt someone or break something, said where the work is.</summary>
public static class CautionTexts
{
    public const string Estimates = "The figures are estimates. Read the meter, and look at the panel.";
    public const string Drinking =
        "Deionised rinse water is not drinking water. Cross-connection and backflow rules are local: follow the code and the water utility.";
    public const string Pressure =
        "Housings burst above their rated pressure or temperature, or frozen. Relieve the pressure before opening one.";
    public const string Disinfectant =
        "Carbon takes out the disinfectant: what stands downstream of it can grow. Flush, sanitise, and do not breathe the spray of stagnant warm water.";
    public const string Regeneration =
        "Regenerating resin takes strong acid and caustic: leave it to a licensed exchange service.";
    public const string Disposal = "Spent resin and wash run-off follow local rules.";
    public const string Electricity =
        "Electricity near water (pumps, pressure washers) needs residual-current protection and a licensed electrician.";
    public const string Silica =
        "A meter cannot see silica. It can leave a spent bed in a slug stronger than the feed while the meter still reads little, and it etches.";

    public const string Frost =
        "A filled housing that freezes bursts, and resin beads crack. Drain housings and hoses before the first frost, or keep them above freezing.";
    public const string Warmth =
        "Warm standing water grows: flush the line before you spray, and sanitise housings more often in summer.";

    public static IReadOnlyList<string> All { get; } =
    [Estimates, Drinking, Pressure, Disinfectant, Regeneration, Disposal, Electricity, Silica];
}
