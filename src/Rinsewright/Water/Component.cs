namespace Rinsewright.Water;

/// <summary>What an analysis counts: the total of one element or ion over all the species that carry it.</summary>
public enum Component
{
    /// <summary>Total calcium.</summary>
    Calcium,

    /// <summary>Total magnesium.</summary>
    Magnesium,

    /// <summary>Total sodium.</summary>
    Sodium,

    /// <summary>Total potassium.</summary>
    Potassium,

    /// <summary>Total ammonium and ammonia.</summary>
    Ammonium,

    /// <summary>Total iron(II).</summary>
    Iron,

    /// <summary>Total manganese(II).</summary>
    Manganese,

    /// <summary>Total strontium.</summary>
    Strontium,

    /// <summary>Total barium.</summary>
    Barium,

    /// <summary>Total chloride.</summary>
    Chloride,

    /// <summary>Total sulfate.</summary>
    Sulfate,

    /// <summary>Total nitrate.</summary>
    Nitrate,

    /// <summary>Total fluoride.</summary>
    Fluoride,

    /// <summary>Total orthophosphate.</summary>
    Phosphate,

    /// <summary>Total carbonate, bicarbonate and carbon dioxide.</summary>
    InorganicCarbon,

    /// <summary>Total dissolved silica.</summary>
    Silica,
}
