using System.Globalization;
using Rinsewright.Quantities;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Handouts.Lives;

/// <summary>A bed as the record or a form knows it: what it is and how much medium it holds.</summary>
public sealed record BedDesign(StageKind Kind, double Liters, string Name)
{
    /// <summary>The generic size whose usual fill comes nearest; it gives the bore.</summary>
    public Housing Size => HousingCatalog.Nearest(Volume.FromLiters(Liters));

    /// <summary>The bed, freshly filled, with default resins.</summary>
    /// <exception cref="InvalidOperationException">The stage is no bed.</exception>
    public ExchangeBed ToBed() =>
        FreshBed.Of(Kind, Volume.FromLiters(Liters), Name)
        ?? throw new InvalidOperationException($"{Name} is no bed but {Kind}.");

    internal string Key => string.Create(CultureInfo.InvariantCulture, $"{Kind}:{Liters:R}:{Name}");
}

/// <summary>What a life depends on.</summary>
public sealed record LifeQuestion
{
    /// <summary>Text of a water file.</summary>
    public required string WaterFile { get; init; }

    /// <summary>The beds in the order in which the water meets them.</summary>
    public required IReadOnlyList<BedDesign> Beds { get; init; }

    /// <summary>Flow through the beds [L/min].</summary>
    public required double Flow_L_min { get; init; }

    /// <summary>Temperature of the water [°C], if not that of the water file.</summary>
    public double? Temperature_degC { get; init; }

    /// <summary>Where the last bed is changed, as people write it.</summary>
    public required ChangeOutLine Line { get; init; }

    /// <summary>The meter's factor from conductivity to TDS [-].</summary>
    public double MeterFactor { get; init; } = WaterStatement.UsualFactor;

    /// <summary>Whether a membrane stands before the beds.</summary>
    public bool BehindOsmosis { get; init; }

    internal string Key =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"{WaterFile}|{string.Join(',', Beds.Select(b => b.Key))}|{Flow_L_min:R}|{Temperature_degC:R}|{Line.Text}|{MeterFactor:R}|{BehindOsmosis}"
        );

    /// <summary>What the beds are fed from a member of the source water; nothing when the membrane cannot be computed.</summary>
    internal WaterComposition? Feed(WaterComposition member)
    {
        WaterComposition water = Temperature_degC is { } t
            ? member.AtTemperature(t + PhysicalConstants.ZeroCelsius)
            : member;
        return BehindOsmosis ? new ReverseOsmosis().Treat(water)?.Permeate : water;
    }
}
