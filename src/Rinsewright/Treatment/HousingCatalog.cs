using System.Collections.Immutable;
using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Treatment;

/// <summary>A generic size of housing or tank (data/parameters/housings.json; common practice, no source).</summary>
/// <param name="Id">Its name, also in the prices file: housing-4.5x20.</param>
/// <param name="Bore">Inside diameter.</param>
/// <param name="Resin">Resin it usually takes.</param>
/// <param name="Width">Outer width with its fittings.</param>
/// <param name="Height">Outer height with its head.</param>
/// <param name="RatedPressure">Usual pressure rating.</param>
/// <param name="RatedTemperature">Usual temperature rating.</param>
/// <param name="CarbonBlock">Volume of the carbon block of that size, where there is one.</param>
public sealed record Housing(
    string Id,
    Length Bore,
    Volume Resin,
    Length Width,
    Length Height,
    Pressure RatedPressure,
    Temperature RatedTemperature,
    Volume? CarbonBlock
);

/// <summary>The generic sizes.</summary>
public static class HousingCatalog
{
    /// <summary>Share of cation resin in a mixed bed by volume [-]; trade practice is 40:60.</summary>
    internal const double CationShare = 0.4;

    /// <summary>All of them, small ones first.</summary>
    public static ImmutableArray<Housing> All { get; } =
        ParameterFile.Read(
            "housings.json",
            root => root.GetProperty("housings").EnumerateArray().Select(One).ToImmutableArray()
        );

    /// <summary>The size whose usual fill comes nearest to a volume of medium.</summary>
    /// <param name="medium">The volume, above zero.</param>
    public static Housing Nearest(Volume medium) =>
        All.MinBy(h => Math.Abs(Math.Log(h.Resin.CubicMeters / medium.CubicMeters)))!;

    /// <summary>A mixed bed in a housing, freshly regenerated, of strong-acid and type-1 strong-base resin.</summary>
    public static ExchangeBed MixedBed(Housing housing) =>
        new(
            housing.Resin,
            housing.Bore,
            new Resin(ResinKind.StrongCation, CationShare),
            new Resin(ResinKind.StrongAnion1, 1.0 - CationShare)
        )
        {
            Name = housing.Id,
        };

    /// <summary>A softener in a housing: strong-acid resin in the sodium form.</summary>
    public static ExchangeBed Softener(Housing housing) =>
        new(
            housing.Resin,
            housing.Bore,
            new Resin(ResinKind.StrongCation, 1.0).WithForm((Water.Component.Sodium, 1.0))
        )
        {
            Name = housing.Id,
        };

    private static Housing One(JsonElement item) =>
        new(
            item.GetProperty("id").GetString()!,
            Length.FromMillimeters(item.GetProperty("bore_mm").GetDouble()),
            Volume.FromLiters(item.GetProperty("resin_L").GetDouble()),
            Length.FromMillimeters(item.GetProperty("width_mm").GetDouble()),
            Length.FromMillimeters(item.GetProperty("height_mm").GetDouble()),
            Pressure.FromBars(item.GetProperty("ratedPressure_bar").GetDouble()),
            Temperature.FromDegreesCelsius(item.GetProperty("ratedTemperature_C").GetDouble()),
            item.TryGetProperty("carbonBlock_L", out JsonElement carbon)
                ? Volume.FromLiters(carbon.GetDouble())
                : null
        );
}
