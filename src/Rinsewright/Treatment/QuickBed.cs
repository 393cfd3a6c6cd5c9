using System.Runtime.InteropServices;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>
/// A bed's life and slip without a run: sharp fronts and the film's transfer units (docs/models/choice.md). Good to about
/// a factor of 1.5; used to sort many beds before few are run.
/// </summary>
/// <param name="Life_m3">Water one row gives [m³].</param>
/// <param name="Slip">Share of the sodium that passes a fresh bed [-].</param>
/// <param name="Velocity_m_h">Superficial velocity [m/h].</param>
[StructLayout(LayoutKind.Auto)]
internal readonly record struct QuickBed(double Life_m3, double Slip, double Velocity_m_h)
{
    private const double FrontWidth = 3.6; // transfer units lost to a break at 1 %

    /// <summary>A row of equal beds.</summary>
    /// <param name="bed">One of them.</param>
    /// <param name="inRow">How many the water meets one after the other before the line counts.</param>
    /// <param name="changed">How many are changed at once.</param>
    /// <param name="flow_m3_s">Flow through the row [m³/s].</param>
    /// <param name="feed">What enters.</param>
    public static QuickBed Of(
        ExchangeBed bed,
        int inRow,
        int changed,
        double flow_m3_s,
        WaterComposition feed
    )
    {
        double cations = 0.0;
        double anions = 0.0;
        foreach (Component component in Enum.GetValues<Component>())
        {
            int charge = BedIons.ExchangedForm(component).Charge;
            double load = int.Abs(charge) * feed[component];
            cations += charge > 0 ? load : 0.0;
            anions += charge < 0 ? load : 0.0;
        }

        double byCation = Exhaustion(bed.CapacityEquivalents(1), cations);
        double byAnion = Exhaustion(bed.CapacityEquivalents(-1), anions);
        double units = inRow * TransferUnits(bed, flow_m3_s, feed.TemperatureKelvin);
        double sharp = double.Min(byCation, byAnion); // eq. choice-1
        double used =
            inRow > changed
                ? double.Min(1.0, units / (inRow * FrontWidth))
                : double.Max(0.0, 1.0 - (FrontWidth / units));
        return new QuickBed(
            changed * sharp * used, // eq. choice-2
            double.Exp(-units), // eq. choice-3
            3600.0 * flow_m3_s / bed.Area
        );
    }

    /// <summary>Transfer units of sodium k a V/Q [-].</summary>
    private static double TransferUnits(ExchangeBed bed, double flow_m3_s, double temperature_K)
    {
        Resin cation = bed.Resins.First(r => r.Sign > 0);
        double diffusion = IonCatalog.Diffusion(Species.Sodium, temperature_K);
        double viscosity = WaterProperties.Viscosity(temperature_K) / WaterProperties.Density(temperature_K);
        double velocity = flow_m3_s / bed.Area;
        double reynolds = velocity * cation.Bead.Meters / viscosity;
        double schmidt = viscosity / diffusion;
        double sherwood = FilmTransfer.Sherwood(bed.Kinetics.Film, reynolds, schmidt, bed.VoidFraction);
        double area = 6.0 * (1.0 - bed.VoidFraction) * cation.Share / cation.Bead.Meters;
        double transfer = sherwood * diffusion / cation.Bead.Meters;
        return transfer * area * bed.Volume.CubicMeters / flow_m3_s; // eq. choice-4
    }

    private static double Exhaustion(double capacity_eq, double load_eq_m3) =>
        capacity_eq > 0.0 && load_eq_m3 > 0.0 ? capacity_eq / load_eq_m3 : double.PositiveInfinity;
}
