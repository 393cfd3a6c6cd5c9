using System.Collections.Frozen;
using System.Runtime.InteropServices;
using System.Text.Json;
using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <summary>Default data of the resins by kind, from data/parameters/resins.json.</summary>
public static class ResinCatalog
{
    /// <summary>The names that resin files use for the ions of a resin: Na, HCO3, SiO2 …</summary>
    public static FrozenDictionary<string, Component> IonNames { get; } =
        new Dictionary<string, Component>(StringComparer.Ordinal)
        {
            ["Ca"] = Component.Calcium,
            ["Mg"] = Component.Magnesium,
            ["Na"] = Component.Sodium,
            ["K"] = Component.Potassium,
            ["NH4"] = Component.Ammonium,
            ["Fe"] = Component.Iron,
            ["Mn"] = Component.Manganese,
            ["Sr"] = Component.Strontium,
            ["Ba"] = Component.Barium,
            ["Cl"] = Component.Chloride,
            ["SO4"] = Component.Sulfate,
            ["NO3"] = Component.Nitrate,
            ["F"] = Component.Fluoride,
            ["PO4"] = Component.Phosphate,
            ["HCO3"] = Component.InorganicCarbon,
            ["SiO2"] = Component.Silica,
        }.ToFrozenDictionary(StringComparer.Ordinal);

    private static readonly ResinDefaults[] Defaults = ParameterFile.Read("resins.json", Read);

    /// <summary>The data of a kind.</summary>
    public static ResinDefaults Of(ResinKind kind) => Defaults[(int)kind];

    /// <summary>+1 for a cation resin, −1 for an anion resin.</summary>
    public static int SignOf(ResinKind kind) =>
        kind is ResinKind.StrongCation or ResinKind.WeakCation ? 1 : -1;

    /// <summary>The name of a kind in files, such as strong-anion-1.</summary>
    public static string NameOf(ResinKind kind) =>
        kind switch
        {
            ResinKind.StrongCation => "strong-cation",
            ResinKind.WeakCation => "weak-cation",
            ResinKind.StrongAnion1 => "strong-anion-1",
            ResinKind.StrongAnion2 => "strong-anion-2",
            ResinKind.WeakAnion => "weak-anion",
            _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "Not a resin kind."),
        };

    private static ResinDefaults[] Read(JsonElement root)
    {
        var defaults = new ResinDefaults[Enum.GetValues<ResinKind>().Length];
        foreach (JsonElement item in root.GetProperty("resins").EnumerateArray())
        {
            string name = item.GetProperty("kind").GetString()!;
            ResinKind kind = Enum.GetValues<ResinKind>()
                .Single(k => string.Equals(NameOf(k), name, StringComparison.Ordinal));
            defaults[(int)kind] = new ResinDefaults(
                Estimate(item.GetProperty("capacity_eq_L")),
                Estimate(item.GetProperty("bead_mm")),
                Estimate(item.GetProperty("bead_diffusivity_m2_s")),
                item.GetProperty("max_temperature_degC").GetProperty("value").GetDouble(),
                item.GetProperty("selectivity")
                    .EnumerateObject()
                    .ToFrozenDictionary(p => IonNames[p.Name], p => Estimate(p.Value))
            );
        }

        return defaults;
    }

    private static Estimate Estimate(JsonElement item) =>
        new(item.GetProperty("value").GetDouble(), item.GetProperty("gsd").GetDouble());
}

/// <summary>A value known within a factor.</summary>
/// <param name="Value">The median, in the unit of the quantity it belongs to [any].</param>
/// <param name="GeometricSd">Geometric standard deviation [-]; 1.1 means about ±10 %.</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct Estimate(double Value, double GeometricSd);

/// <summary>Default data of one kind of resin.</summary>
/// <param name="Capacity">Total capacity [eq/L of settled resin].</param>
/// <param name="Bead">Bead diameter [mm].</param>
/// <param name="BeadDiffusivity">Interdiffusion coefficient in the bead [m²/s].</param>
/// <param name="MaxTemperature">Highest temperature of service [°C].</param>
/// <param name="Selectivity">Equivalent-basis selectivities against H or OH [-].</param>
public sealed record ResinDefaults(
    Estimate Capacity,
    Estimate Bead,
    Estimate BeadDiffusivity,
    double MaxTemperature,
    FrozenDictionary<Component, Estimate> Selectivity
);
