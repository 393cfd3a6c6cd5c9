using System.Collections.Frozen;
using System.Runtime.InteropServices;
using Rinsewright.Numerics;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>
/// Reverse osmosis: how much permeate a membrane gives at a pressure, what passes with it, and what is left in the brine
/// (docs/models/reverse-osmosis.md).
/// </summary>
/// <remarks>
/// <para>
/// Solution–diffusion along a channel of even flux, film theory at the wall, passage by class of ion, carbon
/// dioxide free to pass, no net current. Range: fresh waters to about 3 g/L, 2–45 °C, one element or a few in a row taken
/// as one. Fouling is not modelled.
/// </para>
/// <para>
/// Symbols: J water flux [m/s]; A water permeability [m/(s·Pa)]; B salt permeability [m/s]; k mass transfer [m/s];
/// Y recovery [-]; Δp, Δπ applied and osmotic pressure difference [Pa]; c concentration [mol/m³].
/// </para>
/// </remarks>
public sealed record ReverseOsmosis
{
    private const double LitersPerSquareMeterHour_m_s = 1e-3 / 3600.0;

    /// <summary>The defaults and where they come from.</summary>
    public static FrozenDictionary<string, Assumption> Defaults { get; } =
        Assumption.ReadAll("membranes.json");

    /// <summary>Membrane area of all elements together [m²].</summary>
    public double Area_m2 { get; init; } = Defaults["area"].Value;

    /// <summary>Water permeability at 25 °C, A [m/(s·Pa)].</summary>
    public double WaterPermeability_m_s_Pa { get; init; } =
        Defaults["waterPermeability"].Value * LitersPerSquareMeterHour_m_s / 1e5;

    /// <summary>Permeability of sodium chloride at 25 °C, B [m/s].</summary>
    public double SaltPermeability_m_s { get; init; } =
        Defaults["saltPermeability"].Value * LitersPerSquareMeterHour_m_s;

    /// <summary>Mass-transfer coefficient of the feed channel, k [m/s].</summary>
    public double MassTransfer_m_s { get; init; } = Defaults["massTransfer"].Value;

    /// <summary>Permeate over feed, Y [-].</summary>
    public double Recovery { get; init; } = Defaults["recovery"].Value;

    /// <summary>Pressure before the membrane, above the air.</summary>
    public Pressure FeedPressure { get; init; } = Pressure.FromBars(4.0);

    /// <summary>Pressure lost along the feed channel.</summary>
    public Pressure ChannelLoss { get; init; } = Pressure.FromBars(Defaults["feedSideLoss"].Value);

    /// <summary>Pressure on the permeate, above the air.</summary>
    public Pressure PermeatePressure { get; init; }

    /// <summary>Work on the water over electricity of the booster pump [-].</summary>
    public double PumpEfficiency { get; init; } = Defaults["pumpEfficiency"].Value;

    /// <summary>
    /// Factor of the permeate flow at a temperature over that at 25 °C [-], of the form of ASTM D4516: 3020 K below 25 °C
    /// and 2640 K above, which together give the chart of thin-film membranes.
    /// </summary>
    public static double TemperatureFactor(Temperature temperature)
    {
        const double Reference_K = Conductance.ReferenceTemperature;
        double span_K = temperature.Kelvins < Reference_K ? 3020.0 : 2640.0;
        return double.Exp(span_K * ((1.0 / Reference_K) - (1.0 / temperature.Kelvins))); // eq. reverse-osmosis-3
    }

    /// <summary>
    /// Mean concentration along the feed channel over that of the feed, (1 − (1 − Y)^p)/(p Y) [-]; with a tight membrane,
    /// p = 0, the ln[1/(1 − Y)]/Y of ASTM D4516.
    /// </summary>
    /// <param name="recovery">Recovery Y [-], 0 to below 1.</param>
    /// <param name="passage">Share p of the local concentration that passes [-].</param>
    public static double MeanConcentrationFactor(double recovery, double passage = 0.0)
    {
        double depletion = -double.LogP1(-recovery);
        double spread = passage * depletion;
        double gathered = spread < 1e-9 ? depletion : -double.ExpM1(-spread) / passage;
        return recovery > 0.0 ? gathered / recovery : 1.0; // eq. reverse-osmosis-4
    }

    /// <summary>Osmotic pressure [Pa] of dissolved amounts [mol/m³], by van 't Hoff's law.</summary>
    /// <param name="amount">All solutes together [mol/m³].</param>
    /// <param name="temperature">Temperature of the water.</param>
    public static double OsmoticPressure_Pa(double amount, Temperature temperature) =>
        amount * PhysicalConstants.GasConstant * temperature.Kelvins; // eq. reverse-osmosis-5

    /// <summary>Splits a feed into permeate and brine.</summary>
    /// <param name="feed">The feed at its temperature.</param>
    /// <returns>What the membrane gives, or nothing when the feed's own speciation cannot be solved.</returns>
    public ReverseOsmosisResult? Treat(WaterComposition feed)
    {
        var solver = new SpeciationSolver();
        var species = new Speciation();
        if (solver.Solve(feed, feed.Closed, species) != SpeciationStatus.Solved)
        {
            return null;
        }

        Temperature temperature = Temperature.FromKelvins(feed.TemperatureKelvin);
        List<Solute> solutes = SolutesOf(feed, species);
        double flux = Flux(solutes, temperature);
        double[] passed = Permeate(solutes, flux, temperature);
        WaterComposition permeate = Compose(feed, solutes, passed, species.CarbonDioxide);
        WaterComposition brine = Brine(feed, permeate);
        double permeateFlow = flux * Area_m2;
        return new ReverseOsmosisResult(
            permeate,
            brine,
            VolumeFlow.FromCubicMetersPerSecond(permeateFlow),
            VolumeFlow.FromCubicMetersPerSecond(permeateFlow / Recovery),
            ScalingOf(brine, solver, species),
            FeedPressure.Pascals * permeateFlow / Recovery / PumpEfficiency // eq. reverse-osmosis-9
        );
    }

    /// <summary>
    /// Greatest recovery [-] at which no solid of the brine is over its saturation, or zero when the feed itself is.
    /// </summary>
    /// <param name="feed">The feed at its temperature.</param>
    public double ScalingLimit(WaterComposition feed)
    {
        double Worst(double recovery)
        {
            ReverseOsmosisResult? result = (this with { Recovery = recovery }).Treat(feed);
            return result?.Scaling?.Worst ?? double.NaN;
        }

        const double Least = 0.01;
        const double Most = 0.95;
        if (!(Worst(Least) < 0.0))
        {
            return 0.0;
        }

        return Worst(Most) < 0.0 ? Most : Bracketed.Root(Worst, Least, Most, 1e-4);
    }

    /// <summary>Water flux [m/s] at the mean of the channel: the root of J = A (Δp − Δπ(J)).</summary>
    internal double Flux(IReadOnlyList<Solute> solutes, Temperature temperature)
    {
        double permeability = WaterPermeability_m_s_Pa * TemperatureFactor(temperature);
        double driving = FeedPressure.Pascals - (0.5 * ChannelLoss.Pascals) - PermeatePressure.Pascals;
        double Surplus(double flux)
        {
            double polarisation = double.Exp(flux / MassTransfer_m_s);
            double difference = 0.0;
            foreach (Solute solute in solutes)
            {
                double share = Passing(solute, flux, temperature);
                double mean = solute.Feed_mol_m3 * MeanConcentrationFactor(Recovery, share);
                difference += mean * (1.0 - share) * polarisation; // eq. reverse-osmosis-6
            }

            double osmotic = OsmoticPressure_Pa(difference, temperature);
            return (permeability * (driving - osmotic)) - flux; // eq. reverse-osmosis-1
        }

        if (driving <= 0.0 || Surplus(0.0) <= 0.0)
        {
            return 0.0;
        }

        return Bracketed.Root(Surplus, 0.0, permeability * driving, 1e-14);
    }

    /// <summary>Share of the local concentration that passes with the water [-] at a flux [m/s].</summary>
    private double Passing(Solute solute, double flux, Temperature temperature)
    {
        double salt = SaltPermeability_m_s * TemperatureFactor(temperature) * solute.Passage;
        double diffusive = salt * double.Exp(flux / MassTransfer_m_s);
        return diffusive > 0.0 ? diffusive / (flux + diffusive) : 0.0; // eq. reverse-osmosis-2
    }

    /// <summary>Each solute in the permeate [mol/m³] at a flux [m/s], before the balance of charge.</summary>
    private double[] Permeate(List<Solute> solutes, double flux, Temperature temperature)
    {
        var passed = new double[solutes.Count];
        for (int i = 0; i < passed.Length; i++)
        {
            double share = Passing(solutes[i], flux, temperature);
            passed[i] = share * solutes[i].Feed_mol_m3 * MeanConcentrationFactor(Recovery, share);
        }

        return passed;
    }

    private static List<Solute> SolutesOf(WaterComposition feed, Speciation species)
    {
        List<Solute> solutes = [];
        foreach (Component component in Enum.GetValues<Component>())
        {
            if (component == Component.InorganicCarbon)
            {
                double ionised = feed[component] - species.CarbonDioxide;
                double carbonate = double.Min(species.Concentration(Species.Carbonate), ionised);
                solutes.Add(new Solute(component, ionised - carbonate, -1, PassageOf(component, -1)));
                solutes.Add(new Solute(component, carbonate, -2, PassageOf(component, -2)));
            }
            else if (component == Component.Silica)
            {
                solutes.Add(new Solute(component, feed[component], 0, Defaults["passageSilica"].Value));
            }
            else
            {
                int charge =
                    component == Component.Phosphate
                        ? -2
                        : IonCatalog.Of(IonCatalog.Master(component)).Charge;
                solutes.Add(new Solute(component, feed[component], charge, PassageOf(component, charge)));
            }
        }

        return solutes;
    }

    private static double PassageOf(Component component, int charge) =>
        component == Component.Nitrate ? Defaults["passageNitrate"].Value
        : int.Abs(charge) > 1 ? Defaults["passageDivalent"].Value
        : Defaults["passageMonovalent"].Value;

    /// <summary>
    /// Joins what passes to a water without net current: cations are multiplied and anions divided by one factor, so that
    /// the permeate keeps the feed's imbalance of ions in proportion to its salt.
    /// </summary>
    private static WaterComposition Compose(
        WaterComposition feed,
        List<Solute> solutes,
        double[] passed,
        double carbonDioxide
    )
    {
        (double cationsIn, double anionsIn) = Sides(solutes, [.. solutes.Select(s => s.Feed_mol_m3)]);
        (double cations, double anions) = Sides(solutes, passed);
        double share = cationsIn > 0.0 ? cations / cationsIn : 0.0;
        double imbalance = share * (cationsIn - anionsIn);
        double root = double.Sqrt((imbalance * imbalance) + (4.0 * cations * anions));
        double factor = cations > 0.0 && anions > 0.0 ? (imbalance + root) / (2.0 * cations) : 1.0; // eq. reverse-osmosis-7
        var totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.InorganicCarbon] = carbonDioxide;
        for (int i = 0; i < passed.Length; i++)
        {
            double scale = int.Sign(solutes[i].Charge) switch
            {
                1 => factor,
                -1 => 1.0 / factor,
                _ => 1.0,
            };
            totals[(int)solutes[i].Component] += scale * passed[i];
        }

        return new WaterComposition(totals, share * feed.ChargeResidual, feed.TemperatureKelvin);
    }

    private static (double Cations, double Anions) Sides(List<Solute> solutes, double[] amounts)
    {
        double cations = 0.0;
        double anions = 0.0;
        for (int i = 0; i < amounts.Length; i++)
        {
            double equivalents = solutes[i].Charge * amounts[i];
            cations += double.Max(0.0, equivalents);
            anions += double.Max(0.0, -equivalents);
        }

        return (cations, anions);
    }

    /// <summary>What the permeate leaves behind, by the balance of every component.</summary>
    private WaterComposition Brine(WaterComposition feed, WaterComposition permeate)
    {
        var totals = new double[IonCatalog.ComponentCount];
        for (int i = 0; i < totals.Length; i++)
        {
            double left = (feed.Totals[i] - (Recovery * permeate.Totals[i])) / (1.0 - Recovery);
            totals[i] = double.Max(0.0, left); // eq. reverse-osmosis-8
        }

        double charge = (feed.ChargeResidual - (Recovery * permeate.ChargeResidual)) / (1.0 - Recovery);
        return new WaterComposition(totals, charge, feed.TemperatureKelvin);
    }

    private static Scaling? ScalingOf(WaterComposition brine, SpeciationSolver solver, Speciation species) =>
        solver.Solve(brine, brine.Closed, species) == SpeciationStatus.Solved
            ? new Scaling(
                species.SaturationIndex(Reaction.Calcite),
                species.SaturationIndex(Reaction.Gypsum),
                species.SaturationIndex(Reaction.AmorphousSilica)
            )
            : null;

    /// <summary>One thing that may pass: its amount in the feed, charge and passage relative to sodium chloride.</summary>
    [StructLayout(LayoutKind.Auto)]
    internal readonly record struct Solute(
        Component Component,
        double Feed_mol_m3,
        int Charge,
        double Passage
    );
}

/// <summary>Saturation indices of the brine [-]; above zero the solid can scale the membrane.</summary>
/// <param name="Calcite">Of calcite [-].</param>
/// <param name="Gypsum">Of gypsum [-].</param>
/// <param name="Silica">Of amorphous silica [-].</param>
public sealed record Scaling(double Calcite, double Gypsum, double Silica)
{
    /// <summary>The largest of the three [-].</summary>
    public double Worst => double.Max(Calcite, double.Max(Gypsum, Silica));
}

/// <summary>What a membrane gives.</summary>
/// <param name="Permeate">The permeate.</param>
/// <param name="Brine">The brine.</param>
/// <param name="PermeateFlow">Flow of permeate.</param>
/// <param name="FeedFlow">Flow of feed.</param>
/// <param name="Scaling">Saturation of the brine; nothing when its speciation was not solved.</param>
/// <param name="PumpPower_W">Electric power that brings the feed from no pressure to the feed pressure [W].</param>
public sealed record ReverseOsmosisResult(
    WaterComposition Permeate,
    WaterComposition Brine,
    VolumeFlow PermeateFlow,
    VolumeFlow FeedFlow,
    Scaling? Scaling,
    double PumpPower_W
);
