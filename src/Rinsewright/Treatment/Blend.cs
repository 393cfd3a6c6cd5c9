using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>Waters joined without reaction: a by-pass around a stage, or two sources.</summary>
public static class Blend
{
    /// <summary>Mixes two waters by volume; the second is brought to the first one's temperature.</summary>
    /// <param name="first">One water.</param>
    /// <param name="share">Its share of the mixed volume [-], 0 to 1.</param>
    /// <param name="second">The other.</param>
    /// <exception cref="ArgumentOutOfRangeException">The share lies outside 0 to 1.</exception>
    public static WaterComposition Mix(WaterComposition first, double share, WaterComposition second)
    {
        if (!(share is >= 0.0 and <= 1.0))
        {
            throw new ArgumentOutOfRangeException(nameof(share), share, "0 to 1.");
        }

        var totals = new double[IonCatalog.ComponentCount];
        for (int i = 0; i < totals.Length; i++)
        {
            totals[i] = (share * first.Totals[i]) + ((1.0 - share) * second.Totals[i]); // eq. train-1
        }

        double charge = (share * first.ChargeResidual) + ((1.0 - share) * second.ChargeResidual);
        return new WaterComposition(totals, charge, first.TemperatureKelvin);
    }
}
