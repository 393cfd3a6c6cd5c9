using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>How much a warning matters.</summary>
public enum WarningLevel
{
    /// <summary>Worth knowing.</summary>
    Note,

    /// <summary>Costs quality, life or money.</summary>
    Caution,

    /// <summary>Can hurt someone or break something.</summary>
    Danger,
}

/// <summary>A limit that is passed, or nearly so.</summary>
/// <param name="Level">How much it matters.</param>
/// <param name="Place">The stage, element or tool concerned.</param>
/// <param name="Text">What is wrong and what would be right, in a sentence.</param>
public sealed record Warning(WarningLevel Level, string Place, Sentence Text);
