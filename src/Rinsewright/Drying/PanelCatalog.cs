using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Drying;

/// <summary>A paint colour as the sun sees it.</summary>
/// <param name="Key">Name of the colour.</param>
/// <param name="SolarAbsorptance">Share of sunlight absorbed [-].</param>
/// <param name="HalfWidth">How far one paint of this name may lie from it [-].</param>
public sealed record PaintColor(string Key, double SolarAbsorptance, double HalfWidth);

/// <summary>What a panel is made of.</summary>
/// <param name="Key">Name of the material.</param>
/// <param name="HeatCapacityJoulesPerSquareMeterKelvin">Heat capacity per area [J/(m²·K)].</param>
/// <param name="RelativeHalfWidth">How far another panel of this material may lie from it, relative [-].</param>
public sealed record PanelMaterial(
    string Key,
    double HeatCapacityJoulesPerSquareMeterKelvin,
    double RelativeHalfWidth
);

/// <summary>How water stays on the panel when the rinse stops.</summary>
/// <param name="Key">Name of the film.</param>
/// <param name="Thickness">Mean thickness over the wetted area.</param>
/// <param name="Coverage">Wetted share of the panel [-].</param>
/// <param name="ThicknessFactor">Thickness may be this many times more or less [-].</param>
public sealed record WaterFilm(string Key, Length Thickness, double Coverage, double ThicknessFactor)
{
    /// <summary>Water per panel area [kg/m²].</summary>
    /// <param name="kelvin">Temperature of the water [K].</param>
    public double KilogramsPerSquareMeter(double kelvin) =>
        Coverage * Thickness.Meters * WaterProperties.Density(kelvin);
}

/// <summary>Paints, panel materials and films of data/parameters, with their sources there.</summary>
public static class PanelCatalog
{
    /// <summary>Paint colours, darkest first.</summary>
    public static IReadOnlyList<PaintColor> Paints { get; } =
        ParameterFile.Read("paints.json", root => Items(root, "paints", Paint));

    /// <summary>Panel materials.</summary>
    public static IReadOnlyList<PanelMaterial> Materials { get; } =
        ParameterFile.Read("panels.json", root => Items(root, "panels", Material));

    /// <summary>Films.</summary>
    public static IReadOnlyList<WaterFilm> Films { get; } =
        ParameterFile.Read("panels.json", root => Items(root, "films", Film));

    private static IReadOnlyList<T> Items<T>(
        JsonElement root,
        string name,
        Func<JsonElement, string, T> read
    ) =>
        [
            .. root.GetProperty(name)
                .EnumerateArray()
                .Select(item => read(item, item.GetProperty("key").GetString()!)),
        ];

    private static PaintColor Paint(JsonElement item, string key) =>
        new(
            key,
            item.GetProperty("solar_absorptance").GetDouble(),
            item.GetProperty("half_width").GetDouble()
        );

    private static PanelMaterial Material(JsonElement item, string key) =>
        new(
            key,
            item.GetProperty("thickness_mm").GetDouble()
                / 1000
                * item.GetProperty("density_kg_m3").GetDouble()
                * item.GetProperty("specific_heat_J_kg_K").GetDouble(),
            item.GetProperty("relative_half_width").GetDouble()
        );

    private static WaterFilm Film(JsonElement item, string key) =>
        new(
            key,
            Length.FromMillimeters(item.GetProperty("mean_thickness_mm").GetDouble()),
            item.GetProperty("coverage").GetDouble(),
            item.GetProperty("thickness_factor").GetDouble()
        );
}
