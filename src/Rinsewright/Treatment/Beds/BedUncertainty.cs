using System.Collections.Immutable;
using Rinsewright.Numerics;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// Draws beds that a design may turn out to be: every number of its resins that the designer left at the default of the kind
/// is drawn from the uncertainty stated with that default (data/parameters/resins.json), and the film coefficients from the
/// scatter of their correlations. What the designer stated himself is kept.
/// </summary>
public static class BedUncertainty
{
    /// <summary>Geometric standard deviation of film coefficients about their correlation [-] (our choice, no source).</summary>
    public const double FilmScatter = 1.2;

    /// <summary>One bed that the design may turn out to be.</summary>
    /// <param name="bed">The design.</param>
    /// <param name="random">Source of chance; a bed takes the same count of numbers from it every time.</param>
    public static ExchangeBed Draw(ExchangeBed bed, Random random) =>
        bed with
        {
            Resins = [.. bed.Resins.Select(r => Draw(r, random))],
            Kinetics = bed.Kinetics with
            {
                FilmFactor = bed.Kinetics.FilmFactor * Factor(FilmScatter, random),
            },
        };

    private static Resin Draw(Resin resin, Random random)
    {
        ResinDefaults defaults = ResinCatalog.Of(resin.Kind);
        double capacity = Open(resin.Capacity.EquivalentsPerLiter, defaults.Capacity, random);
        double bead = Open(resin.Bead.Millimeters, defaults.Bead, random);
        double diffusivity = Open(resin.BeadDiffusivity, defaults.BeadDiffusivity, random);
        ImmutableDictionary<Component, double>.Builder selectivity = resin.Selectivity.ToBuilder();
        foreach (Component ion in resin.Selectivity.Keys.Order())
        {
            selectivity[ion] = Open(resin.Selectivity[ion], defaults.Selectivity[ion], random);
        }

        return resin with
        {
            Capacity = ExchangeCapacity.FromEquivalentsPerLiter(capacity),
            Bead = Length.FromMillimeters(bead),
            BeadDiffusivity = diffusivity,
            Selectivity = selectivity.ToImmutable(),
        };
    }

    private static double Open(double value, Estimate estimate, Random random)
    {
        double factor = Factor(estimate.GeometricSd, random);
        bool isDefault = Math.Abs(value - estimate.Value) <= 1e-9 * estimate.Value;
        return isDefault ? value * factor : value;
    }

    private static double Factor(double geometricSd, Random random) =>
        Math.Exp(Math.Log(geometricSd) * NormalDistribution.Draw(random));
}
