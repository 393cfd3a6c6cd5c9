using System.Collections.Frozen;
using System.Runtime.InteropServices;
using Rinsewright.Numerics;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>
/// A carbon block or bed: takes free chlorine and chloramine out of the water until its sites are used up
/// (docs/models/carbon.md).
/// </summary>
/// <remarks>
/// <para>
/// Model: plug flow; the oxidant reacts in proportion to its concentration and to the sites left, and uses them up
/// (Bohart and Adams 1920, key <c>bohart1920</c>, who wrote it for chlorine on charcoal). Where free chlorine and
/// chloramine come together each is given sites in proportion to its share. Range: 2–45 °C, pH 5–10, up to 5 mg/L.
/// Natural organic matter, which slows chloramine removal, is not modelled: fit the rate to a strip reading.
/// </para>
/// <para>
/// Symbols: c oxidant as Cl2 [kg/m³]; s share of sites left [-]; k rate [1/s]; N capacity [kg/m³ of carbon]; τ empty-bed
/// contact time [s]; V water passed over the volume of carbon [-].
/// </para>
/// </remarks>
/// <param name="Carbon">Volume of the carbon, voids between its grains included.</param>
public sealed record CarbonBlock(Volume Carbon)
{
    /// <summary>Molar mass of chlorine as Cl2 [kg/mol].</summary>
    internal const double ChlorineMolarMass_kg_mol = 0.070906;

    private const double Reference_K = Conductance.ReferenceTemperature;
    private const double UsualLine_mg_L = 0.1; // what anion resin bears, published limit

    /// <summary>Total chlorine usually allowed behind it, where a bed follows.</summary>
    public static MassConcentration UsualLine { get; } =
        MassConcentration.FromMilligramsPerLiter(UsualLine_mg_L);

    /// <summary>The defaults and where they come from.</summary>
    public static FrozenDictionary<string, Assumption> Defaults { get; } = Assumption.ReadAll("carbon.json");

    /// <summary>Rate for hypochlorous acid on fresh carbon at 25 °C, k [1/s].</summary>
    public double Rate_1_s { get; init; } = Defaults["rateHypochlorousAcidAt25C"].Value;

    /// <summary>Rate for hypochlorite over that for hypochlorous acid [-].</summary>
    public double HypochloriteShare { get; init; } = Defaults["hypochloriteRateShare"].Value;

    /// <summary>Rate for chloramine over that for hypochlorous acid [-].</summary>
    public double ChloramineShare { get; init; } = Defaults["chloramineRateShare"].Value;

    /// <summary>Rise of temperature over which the rate doubles, about 25 °C [K].</summary>
    public double Doubling_K { get; init; } = Defaults["doublingTemperature"].Value;

    /// <summary>Chlorine as Cl2 that the sites take [kg/kg of carbon].</summary>
    public double Capacity_kg_kg { get; init; } = Defaults["chlorineCapacity"].Value;

    /// <summary>Carbon per volume of block [kg/m³].</summary>
    public double CarbonDensity_kg_m3 { get; init; } = Defaults["carbonDensity"].Value;

    /// <summary>Share of chloramine that ends as nitrogen gas instead of ammonium [-].</summary>
    public double NitrogenShare { get; init; } = Defaults["chloramineToNitrogenShare"].Value;

    /// <summary>Empty-bed contact time at a flow: volume of carbon over flow.</summary>
    public TimeSpan ContactTime(VolumeFlow flow) => Carbon / flow;

    /// <summary>Oxidants that leave the carbon after it has treated some water.</summary>
    /// <param name="inlet">Oxidants that enter it.</param>
    /// <param name="treated">Water that has passed since it was new.</param>
    /// <param name="flow">Flow.</param>
    /// <param name="temperature">Temperature of the water.</param>
    /// <param name="pH">pH of the water [-].</param>
    public Oxidants Outlet(
        Oxidants inlet,
        Volume treated,
        VolumeFlow flow,
        Temperature temperature,
        double pH
    ) =>
        new(
            MassConcentration.FromKilogramsPerCubicMeter(
                inlet.FreeChlorine.KilogramsPerCubicMeter
                    * Passing(FreeChlorine(inlet, flow, temperature, pH), treated)
            ),
            MassConcentration.FromKilogramsPerCubicMeter(
                inlet.Chloramine.KilogramsPerCubicMeter
                    * Passing(Chloramine(inlet, flow, temperature), treated)
            )
        );

    /// <summary>
    /// Water the carbon treats until the oxidant that leaves it, free chlorine and chloramine together, reaches a line.
    /// </summary>
    /// <param name="inlet">Oxidants that enter it.</param>
    /// <param name="line">Total chlorine allowed in its outlet, as Cl2.</param>
    /// <param name="flow">Flow.</param>
    /// <param name="temperature">Temperature of the water.</param>
    /// <param name="pH">pH of the water [-].</param>
    /// <returns>
    /// Zero when even new carbon misses the line at this flow; nothing when the water never holds more than the line.
    /// </returns>
    public Volume? LifeTo(
        Oxidants inlet,
        MassConcentration line,
        VolumeFlow flow,
        Temperature temperature,
        double pH
    )
    {
        if (inlet.Total <= line)
        {
            return null;
        }

        Front chlorine = FreeChlorine(inlet, flow, temperature, pH);
        Front chloramine = Chloramine(inlet, flow, temperature);
        double Surplus(double volume_m3)
        {
            Volume treated = Volume.FromCubicMeters(volume_m3);
            double leaving =
                (inlet.FreeChlorine.KilogramsPerCubicMeter * Passing(chlorine, treated))
                + (inlet.Chloramine.KilogramsPerCubicMeter * Passing(chloramine, treated));
            return leaving - line.KilogramsPerCubicMeter;
        }

        if (Surplus(0.0) >= 0.0)
        {
            return Volume.FromCubicMeters(0.0);
        }

        double sharpFront_m3 = Carbon.CubicMeters * double.Max(chlorine.Capacity, chloramine.Capacity);
        double high = sharpFront_m3;
        while (Surplus(high) < 0.0)
        {
            high *= 2.0;
        }

        return Volume.FromCubicMeters(Bracketed.Root(Surplus, 0.0, high, 1e-9 * sharpFront_m3));
    }

    /// <summary>
    /// What the removed oxidants leave in the water [mol/m³]: chloride from both, ammonium from chloramine; the acid of
    /// free chlorine follows from electroneutrality.
    /// </summary>
    /// <param name="inlet">Oxidants that enter.</param>
    /// <param name="outlet">Oxidants that leave.</param>
    public (double Chloride_mol_m3, double Ammonium_mol_m3) Products(Oxidants inlet, Oxidants outlet)
    {
        double chlorine = Moles(inlet.FreeChlorine, outlet.FreeChlorine);
        double chloramine = Moles(inlet.Chloramine, outlet.Chloramine);
        return (chlorine + chloramine, (1.0 - NitrogenShare) * chloramine); // eq. carbon-5
    }

    /// <summary>Rate on fresh carbon for free chlorine [1/s].</summary>
    internal double FreeChlorineRate_1_s(Temperature temperature, double pH)
    {
        double pK = -Equilibria.LogK(Reaction.HypochlorousAcid, temperature.Kelvins);
        double acid = 1.0 / (1.0 + double.Pow(10.0, pH - pK));
        double byForm = acid + (HypochloriteShare * (1.0 - acid)); // eq. carbon-3
        return Rate_1_s * byForm * TemperatureFactor(temperature);
    }

    /// <summary>Arrhenius factor [-] that doubles over <see cref="Doubling_K"/> centred on 25 °C.</summary>
    internal double TemperatureFactor(Temperature temperature)
    {
        double cold = 1.0 / (Reference_K - (0.5 * Doubling_K));
        double warm = 1.0 / (Reference_K + (0.5 * Doubling_K));
        double activation_K = double.Log(2.0) / (cold - warm);
        return double.Exp(activation_K * ((1.0 / Reference_K) - (1.0 / temperature.Kelvins))); // eq. carbon-4
    }

    private static double Moles(MassConcentration inlet, MassConcentration outlet) =>
        (inlet.KilogramsPerCubicMeter - outlet.KilogramsPerCubicMeter) / ChlorineMolarMass_kg_mol;

    private Front FreeChlorine(Oxidants inlet, VolumeFlow flow, Temperature temperature, double pH) =>
        FrontOf(FreeChlorineRate_1_s(temperature, pH), flow, inlet);

    private Front Chloramine(Oxidants inlet, VolumeFlow flow, Temperature temperature) =>
        FrontOf(Rate_1_s * ChloramineShare * TemperatureFactor(temperature), flow, inlet);

    private Front FrontOf(double rate_1_s, VolumeFlow flow, Oxidants inlet)
    {
        double units = rate_1_s * Carbon.CubicMeters / flow.CubicMetersPerSecond;
        double capacity = Capacity_kg_kg * CarbonDensity_kg_m3 / inlet.Total.KilogramsPerCubicMeter;
        return new Front(units, capacity); // eq. carbon-2
    }

    /// <summary>Share of an oxidant that passes [-]: Bohart and Adams' solution, written so that nothing overflows.</summary>
    private double Passing(Front front, Volume treated)
    {
        double bedVolumes = treated.CubicMeters / Carbon.CubicMeters;
        double used = front.Units * bedVolumes / front.Capacity;
        double held = double.Exp(front.Units - used) * -double.ExpM1(-front.Units);
        return 1.0 / (1.0 + held); // eq. carbon-1
    }

    /// <summary>One oxidant's front: transfer units k τ, and bed volumes that use up its sites.</summary>
    [StructLayout(LayoutKind.Auto)]
    private readonly record struct Front(double Units, double Capacity);
}

/// <summary>The disinfectants that carbon takes out, as Cl2.</summary>
/// <param name="FreeChlorine">Free chlorine: hypochlorous acid and hypochlorite.</param>
/// <param name="Chloramine">Combined chlorine, taken as monochloramine.</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct Oxidants(MassConcentration FreeChlorine, MassConcentration Chloramine)
{
    /// <summary>What an analysis states of them, the middle of a range, the limit of a <c>&lt;</c>; none where it says nothing.</summary>
    public static Oxidants Stated(WaterAnalysis analysis)
    {
        static MassConcentration Of(Stated<MolarConcentration>? stated) =>
            MassConcentration.FromKilogramsPerCubicMeter(
                CarbonBlock.ChlorineMolarMass_kg_mol
                    * ((stated?.Middle ?? stated?.High)?.MolesPerCubicMeter ?? 0.0)
            );
        return new Oxidants(Of(analysis.FreeChlorine), Of(analysis.CombinedChlorine));
    }

    /// <summary>Total chlorine.</summary>
    public MassConcentration Total =>
        MassConcentration.FromKilogramsPerCubicMeter(
            FreeChlorine.KilogramsPerCubicMeter + Chloramine.KilogramsPerCubicMeter
        );

    /// <summary>Mixes two waters' oxidants by volume.</summary>
    /// <param name="other">The other water's.</param>
    /// <param name="share">Share of this one in the mixed volume [-].</param>
    public Oxidants MixedWith(Oxidants other, double share) =>
        new(
            MassConcentration.FromKilogramsPerCubicMeter(
                (share * FreeChlorine.KilogramsPerCubicMeter)
                    + ((1.0 - share) * other.FreeChlorine.KilogramsPerCubicMeter)
            ),
            MassConcentration.FromKilogramsPerCubicMeter(
                (share * Chloramine.KilogramsPerCubicMeter)
                    + ((1.0 - share) * other.Chloramine.KilogramsPerCubicMeter)
            )
        );
}
