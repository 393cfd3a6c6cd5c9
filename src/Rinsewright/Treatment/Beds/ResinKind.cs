namespace Rinsewright.Treatment.Beds;

/// <summary>What a resin exchanges, and how strong its groups are.</summary>
public enum ResinKind
{
    /// <summary>Strong-acid cation resin (sulfonic), reference ion H+.</summary>
    StrongCation,

    /// <summary>Weak-acid cation resin (carboxylic), reference ion H+.</summary>
    WeakCation,

    /// <summary>Strong-base anion resin, type 1, reference ion OH-.</summary>
    StrongAnion1,

    /// <summary>Strong-base anion resin, type 2, reference ion OH-.</summary>
    StrongAnion2,

    /// <summary>Weak-base anion resin (free base counted as the OH form).</summary>
    WeakAnion,
}
