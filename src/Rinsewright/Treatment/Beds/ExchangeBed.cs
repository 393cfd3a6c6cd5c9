using System.Collections.Immutable;
using Rinsewright.Quantities;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// The design of one ion-exchange bed: its housing, its resins and how fast they take up ions. A softener, a nitrate
/// bed, a cation bed, an anion bed and a mixed bed are the same model with other resins. See docs/models/exchange-bed.md.
/// </summary>
public sealed record ExchangeBed
{
    /// <summary>A bed.</summary>
    /// <param name="volume">Volume of the settled bed.</param>
    /// <param name="innerDiameter">Inside diameter of the housing.</param>
    /// <param name="resins">The resins; their shares sum to 1.</param>
    public ExchangeBed(Volume volume, Length innerDiameter, params ImmutableArray<Resin> resins)
    {
        Volume = volume;
        InnerDiameter = innerDiameter;
        Resins = resins;
        Validate();
    }

    /// <summary>Name of the stage, for people.</summary>
    public string Name { get; init; } = "";

    /// <summary>Volume of the settled bed.</summary>
    public Volume Volume { get; init; }

    /// <summary>Inside diameter of the housing.</summary>
    public Length InnerDiameter { get; init; }

    /// <summary>Void fraction between the beads [-].</summary>
    public double VoidFraction { get; init; } = 0.38;

    /// <summary>Fraction of the flow that passes the bed unchanged, by channelling [-].</summary>
    public double Bypass { get; init; }

    /// <summary>The resins.</summary>
    public ImmutableArray<Resin> Resins { get; init; }

    /// <summary>How fast ions reach and enter the beads.</summary>
    public BedKinetics Kinetics { get; init; } = new();

    /// <summary>Whether exchange is taken as infinitely fast, so that every slice of the bed is at equilibrium.</summary>
    public bool Equilibrium { get; init; }

    /// <summary>
    /// Whether the mass-action laws use activities, with the activity coefficients and ion pairs of the feed, instead of concentrations.
    /// Unset, a bed at equilibrium does and a bed of finite rate does not: there the difference (7 % on a divalent
    /// coefficient at 0.001 mol/L) is well inside the coefficients' uncertainty.
    /// </summary>
    public bool? Activities { get; init; }

    /// <summary>Cross-section of the bed [m²].</summary>
    public double Area => Math.PI / 4 * InnerDiameter.Meters * InnerDiameter.Meters;

    /// <summary>Depth of the settled bed.</summary>
    public Length Depth => Length.FromMeters(Volume.CubicMeters / Area);

    /// <summary>Total capacity of all resins of one sign [eq].</summary>
    /// <param name="sign">+1 for cation resins, −1 for anion resins [-].</param>
    public double CapacityEquivalents(int sign) =>
        Resins.Where(r => r.Sign == sign).Sum(r => r.Capacity.EquivalentsPerCubicMeter * r.Share)
        * Volume.CubicMeters;

    internal void Validate()
    {
        if (!(Volume.CubicMeters > 0) || !(InnerDiameter.Meters > 0))
        {
            throw new ArgumentException("Volume and inside diameter of a bed lie above 0.", nameof(Volume));
        }

        if (!(VoidFraction > 0.2 && VoidFraction < 0.8))
        {
            throw new ArgumentException(
                "The void fraction of a bed lies between 0.2 and 0.8.",
                nameof(VoidFraction)
            );
        }

        if (!(Bypass >= 0 && Bypass < 1))
        {
            throw new ArgumentException("The by-pass lies at or above 0 and below 1.", nameof(Bypass));
        }

        if (Resins.IsDefaultOrEmpty || Math.Abs(Resins.Sum(r => r.Share) - 1) > 1e-6)
        {
            throw new ArgumentException("The shares of the resins of a bed sum to 1.", nameof(Resins));
        }

        foreach (Resin resin in Resins)
        {
            resin.Validate();
        }
    }
}
