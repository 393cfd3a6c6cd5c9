using System.Collections.Frozen;

namespace Rinsewright.Drying;

/// <summary>How a dried solid comes off.</summary>
public enum RemovalClass
{
    /// <summary>Soft: dissolves in the next rinse (more than 10 g/L).</summary>
    Rinses,

    /// <summary>Hard: comes off when soaked and wiped, scratches when wiped dry.</summary>
    Wipes,

    /// <summary>Hard: stays, marks or stains; needs acid or polish.</summary>
    Etches,
}

/// <summary>A solid that drying water can leave; the data are in data/parameters/solids.json.</summary>
/// <param name="Key">Name in files.</param>
/// <param name="Name">Name for people.</param>
/// <param name="Formula">Formula with its water of crystallisation.</param>
/// <param name="MolarMassGramsPerMole">Molar mass with its water of crystallisation [g/mol].</param>
/// <param name="Removal">How it comes off.</param>
/// <param name="Reason">Why.</param>
public sealed record ResidueSolid(
    string Key,
    string Name,
    string Formula,
    double MolarMassGramsPerMole,
    RemovalClass Removal,
    string Reason
)
{
    private static readonly FrozenDictionary<string, ResidueSolid> ByKey = ParameterFile.Read(
        "solids.json",
        root =>
            root.GetProperty("solids")
                .EnumerateArray()
                .Select(item => new ResidueSolid(
                    item.GetProperty("key").GetString()!,
                    item.GetProperty("name").GetString()!,
                    item.GetProperty("formula").GetString()!,
                    item.GetProperty("molar_mass_g_mol").GetDouble(),
                    Enum.Parse<RemovalClass>(item.GetProperty("class").GetString()!, ignoreCase: true),
                    item.GetProperty("reason").GetString()!
                ))
                .ToFrozenDictionary(s => s.Key, StringComparer.Ordinal)
    );

    /// <summary>Calcium carbonate.</summary>
    public static ResidueSolid Calcite { get; } = Of("calcite");

    /// <summary>Gypsum.</summary>
    public static ResidueSolid Gypsum { get; } = Of("gypsum");

    /// <summary>Amorphous silica.</summary>
    public static ResidueSolid Silica { get; } = Of("silica");

    /// <summary>All solids.</summary>
    public static IReadOnlyCollection<ResidueSolid> All => ByKey.Values;

    /// <summary>Whether the solid counts as hard residue: it stays or scratches.</summary>
    public bool IsHard => Removal != RemovalClass.Rinses;

    /// <summary>The solid of a name in files.</summary>
    /// <param name="key">The name.</param>
    public static ResidueSolid Of(string key) => ByKey[key];
}
