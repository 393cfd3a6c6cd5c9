using System.Collections.Frozen;
using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>A cartridge that keeps suspended solids back and clogs with them (docs/models/sediment.md).</summary>
/// <remarks>
/// Laminar flow through the medium: its resistance grows in a straight line with the solids it holds, which is the cake
/// law; a depth cartridge clogs more slowly at first and faster at the end, so the life is right and the way to it is
/// not. Symbols: m solids held [kg]; Q flow [m³/s]; Δp loss [Pa].
/// </remarks>
public sealed record SedimentFilter
{
    /// <summary>The defaults and where they come from.</summary>
    public static FrozenDictionary<string, Assumption> Defaults { get; } =
        Assumption.ReadAll("sediment.json");

    /// <summary>Flow at which the two losses are stated.</summary>
    public VolumeFlow RatedFlow { get; init; } = VolumeFlow.FromLitersPerMinute(Defaults["ratedFlow"].Value);

    /// <summary>Loss of the new cartridge at the rated flow in water of 20 °C.</summary>
    public Pressure CleanLoss { get; init; } = Pressure.FromKilopascals(Defaults["cleanLoss"].Value);

    /// <summary>Loss at the rated flow at which it is changed.</summary>
    public Pressure FullLoss { get; init; } = Pressure.FromKilopascals(Defaults["fullLoss"].Value);

    /// <summary>Solids it holds when the full loss is reached.</summary>
    public Mass HoldingCapacity { get; init; } = Mass.FromGrams(Defaults["holdingCapacity"].Value);

    /// <summary>Share of the suspended solids that it keeps [-].</summary>
    public double Removal { get; init; } = Defaults["removal"].Value;

    /// <summary>Its loss as an element of a line, with some solids in it.</summary>
    /// <param name="name">Name of the stage.</param>
    /// <param name="held">Solids it holds.</param>
    public MeasuredLoss Element(string name, Mass held)
    {
        double share = held.Kilograms / HoldingCapacity.Kilograms;
        double loss = CleanLoss.Pascals + (share * (FullLoss.Pascals - CleanLoss.Pascals)); // eq. sediment-1
        return new MeasuredLoss(name, RatedFlow, Pressure.FromPascals(loss), 1.0);
    }

    /// <summary>Solids held after some water has passed.</summary>
    /// <param name="solids">Suspended solids of the water that enters.</param>
    /// <param name="treated">Water that has passed.</param>
    public Mass Held(MassConcentration solids, Volume treated) =>
        Mass.FromKilograms(Removal * solids.KilogramsPerCubicMeter * treated.CubicMeters); // eq. sediment-2

    /// <summary>
    /// Water it treats until its loss at a flow reaches a limit; nothing when the water carries no solids.
    /// </summary>
    /// <param name="solids">Suspended solids of the water that enters.</param>
    /// <param name="flow">Flow.</param>
    /// <param name="limit">Loss that is borne at that flow.</param>
    /// <param name="temperature">Temperature of the water.</param>
    public Volume? LifeTo(MassConcentration solids, VolumeFlow flow, Pressure limit, Temperature temperature)
    {
        double load = Removal * solids.KilogramsPerCubicMeter;
        if (load <= 0.0)
        {
            return null;
        }

        FlowingWater water = FlowingWater.At(temperature);
        double clean = Element("", Mass.FromKilograms(0.0)).Loss_Pa(flow.CubicMetersPerSecond, water);
        double full = Element("", HoldingCapacity).Loss_Pa(flow.CubicMetersPerSecond, water);
        double share = (limit.Pascals - clean) / (full - clean);
        double held = double.Max(0.0, share) * HoldingCapacity.Kilograms;
        return Volume.FromCubicMeters(held / load); // eq. sediment-3
    }
}
