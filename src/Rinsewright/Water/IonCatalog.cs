using System.Text.Json;

namespace Rinsewright.Water;

/// <summary>
/// Charges, molar masses, ion sizes, diffusion coefficients and limiting conductivities of the dissolved species.
/// Values and sources are in data/parameters/ions.json.
/// </summary>
public static class IonCatalog
{
    /// <summary>Number of components.</summary>
    public const int ComponentCount = 16;

    private static readonly Ion[] Ions;
    private static readonly double[] ComponentMolarMass;

    static IonCatalog()
    {
        ComponentMolarMass = new double[ComponentCount];
        Ions = ParameterFile.Read("ions.json", Read);
    }

    /// <summary>Number of species.</summary>
    public static int SpeciesCount => Ions.Length;

    /// <summary>The data of all species, in the order of <see cref="Species"/>.</summary>
    public static ReadOnlySpan<Ion> All => Ions;

    /// <summary>The data of a species.</summary>
    public static Ion Of(Species species) => Ions[(int)species];

    /// <summary>
    /// Molar mass of a component [kg/mol], in the form in which analyses state it (silica as SiO2, carbon as C, the
    /// others as the ion).
    /// </summary>
    public static double MolarMass(Component component) => ComponentMolarMass[(int)component];

    /// <summary>
    /// The free ion that stands for a component in the mass-action laws (SO4-2 for sulfate, CO3-2 for inorganic carbon,
    /// H4SiO4 for silica).
    /// </summary>
    public static Species Master(Component component) =>
        component switch
        {
            Component.Calcium => Species.Calcium,
            Component.Magnesium => Species.Magnesium,
            Component.Sodium => Species.Sodium,
            Component.Potassium => Species.Potassium,
            Component.Ammonium => Species.Ammonium,
            Component.Iron => Species.Iron,
            Component.Manganese => Species.Manganese,
            Component.Strontium => Species.Strontium,
            Component.Barium => Species.Barium,
            Component.Chloride => Species.Chloride,
            Component.Sulfate => Species.Sulfate,
            Component.Nitrate => Species.Nitrate,
            Component.Fluoride => Species.Fluoride,
            Component.Phosphate => Species.Phosphate,
            Component.InorganicCarbon => Species.Carbonate,
            Component.Silica => Species.SilicicAcid,
            _ => throw new ArgumentOutOfRangeException(nameof(component), component, "Not a component."),
        };

    /// <summary>Diffusion coefficient at infinite dilution [m²/s], from that at 25 °C by the Stokes–Einstein rule.</summary>
    /// <param name="species">The species.</param>
    /// <param name="temperature">Temperature [K].</param>
    public static double Diffusion(Species species, double temperature) =>
        Ions[(int)species].Diffusion25 * WaterProperties.DiffusionFactor(temperature); // eq. water-4

    private static Ion[] Read(JsonElement root)
    {
        foreach (JsonElement item in root.GetProperty("components").EnumerateArray())
        {
            int index = (int)Enum.Parse<Component>(item.GetProperty("id").GetString()!);
            ComponentMolarMass[index] = item.GetProperty("molarMass_g_mol").GetDouble() * 1e-3;
        }

        var ions = new Ion[Enum.GetValues<Species>().Length];
        foreach (JsonElement item in root.GetProperty("species").EnumerateArray())
        {
            Species species = Enum.Parse<Species>(item.GetProperty("id").GetString()!);
            int charge = item.GetProperty("charge").GetInt32();
            double diffusion = item.GetProperty("diffusivity25_1e-9_m2_s").GetDouble() * 1e-9;
            double einstein =
                diffusion
                * charge
                * charge
                * PhysicalConstants.Faraday
                * PhysicalConstants.Faraday
                / (PhysicalConstants.GasConstant * Conductance.ReferenceTemperature); // eq. water-8
            double conductivity = item.TryGetProperty(
                "limitingConductivity25_S_cm2_mol",
                out JsonElement measured
            )
                ? measured.GetDouble() * 1e-4
                : einstein;
            ions[(int)species] = new Ion(
                item.GetProperty("formula").GetString()!,
                charge,
                diffusion,
                conductivity,
                item.Number("ionSize_angstrom", 0) * 1e-10,
                item.Number("truesdellJones_b_kg_mol", 0.1),
                item.Number("conductivitySlope_per_K", 0),
                item.Number("conductivityCurvature_per_K2", 0)
            );
        }

        return ions;
    }
}

/// <summary>One dissolved species.</summary>
/// <param name="Formula">Chemical formula with its charge.</param>
/// <param name="Charge">Charge number z [-].</param>
/// <param name="Diffusion25">Diffusion coefficient at 25 °C and infinite dilution [m²/s].</param>
/// <param name="LimitingConductivity25">Molar conductivity at 25 °C and infinite dilution, all charges counted [S·m²/mol].</param>
/// <param name="Size">Ion size of the Truesdell–Jones activity model [m]; 0 for an uncharged species.</param>
/// <param name="TruesdellJonesB">Linear coefficient of that model, or the salting-out coefficient of an uncharged species [kg/mol].</param>
/// <param name="ConductivitySlope">Relative rise of the limiting conductivity at 25 °C [1/K]; 0 where no measured course is known.</param>
/// <param name="ConductivityCurvature">Its quadratic term [1/K²].</param>
public sealed record Ion(
    string Formula,
    int Charge,
    double Diffusion25,
    double LimitingConductivity25,
    double Size,
    double TruesdellJonesB,
    double ConductivitySlope,
    double ConductivityCurvature
)
{
    /// <summary>Molar conductivity at infinite dilution [S·m²/mol].</summary>
    /// <param name="temperature">Temperature [K].</param>
    /// <param name="viscosityRatio">Viscosity of water at 25 °C over that at the temperature [-], used where no measured course is known.</param>
    internal double LimitingConductivity(double temperature, double viscosityRatio)
    {
        double dt = temperature - Conductance.ReferenceTemperature;
        return LimitingConductivity25
            * (
                ConductivitySlope == 0
                    ? viscosityRatio
                    : 1 + dt * (ConductivitySlope + dt * ConductivityCurvature)
            ); // eq. water-29
    }
}
