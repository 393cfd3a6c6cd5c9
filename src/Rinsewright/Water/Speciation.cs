namespace Rinsewright.Water;

/// <summary>
/// The species of one water, filled by <see cref="SpeciationSolver"/> and meant to be filled again: it holds its arrays.
/// Read it only when <see cref="Status"/> says <see cref="SpeciationStatus.Solved"/>.
/// </summary>
public sealed class Speciation
{
    private readonly double[] _molality = new double[IonCatalog.SpeciesCount];
    private readonly double[] _coefficient = new double[IonCatalog.SpeciesCount];
    private readonly double[] _totals = new double[IonCatalog.ComponentCount];

    /// <summary>How the last solution ended.</summary>
    public SpeciationStatus Status { get; internal set; }

    /// <summary>pH: minus log10 of the activity of the hydrogen ion [-].</summary>
    public double PH { get; internal set; }

    /// <summary>Ionic strength of all species [mol/kg].</summary>
    public double IonicStrength { get; internal set; }

    /// <summary>Temperature [K].</summary>
    public double TemperatureKelvin { get; internal set; }

    /// <summary>Mass of water in a volume [kg/m³]: the density of pure water, as in all conversions here.</summary>
    public double WaterDensity { get; internal set; }

    /// <summary>Alkalinity to the carbon dioxide end point [eq/m³].</summary>
    public double Alkalinity { get; internal set; }

    /// <summary>Net charge of all species [eq/m³], positive when cations are over.</summary>
    public double NetCharge { get; internal set; }

    /// <summary>Molalities by <see cref="Species"/> [mol/kg].</summary>
    public ReadOnlySpan<double> Molalities => _molality;

    /// <summary>Totals by <see cref="Component"/> [mol/m³], total carbon found included.</summary>
    public ReadOnlySpan<double> Totals => _totals;

    /// <summary>Total inorganic carbon [mol/m³].</summary>
    public double TotalCarbon => _totals[(int)Component.InorganicCarbon];

    /// <summary>Dissolved carbon dioxide, CO2(aq) [mol/m³].</summary>
    public double CarbonDioxide => Concentration(Species.CarbonDioxide);

    /// <summary>log10 of the partial pressure of carbon dioxide in atm with which the water is in balance [-].</summary>
    public double LogCarbonDioxidePressure =>
        LogActivity(Species.CarbonDioxide) - Equilibria.LogK(Reaction.CarbonDioxideGas, TemperatureKelvin);

    internal Span<double> MolalityBuffer => _molality;

    internal Span<double> CoefficientBuffer => _coefficient;

    internal Span<double> TotalsBuffer => _totals;

    /// <summary>Concentration of a species [mol/m³].</summary>
    public double Concentration(Species species) => _molality[(int)species] * WaterDensity;

    /// <summary>log10 of the activity of a species [-]; minus infinity when the species is absent.</summary>
    public double LogActivity(Species species) =>
        Math.Log10(_molality[(int)species] * _coefficient[(int)species]);

    /// <summary>Activity of water by Raoult's law over the sum of solutes [-].</summary>
    public double WaterActivity
    {
        get
        {
            double solutes = 0;
            foreach (double molality in _molality)
            {
                solutes += molality;
            }

            return Math.Max(0, 1 - 0.017 * solutes); // eq. water-14
        }
    }

    /// <summary>
    /// Saturation index of a solid: log10 of its ion activity product over its constant [-]. Minus infinity when one of its
    /// ions is absent.
    /// </summary>
    /// <param name="solid">Calcite, aragonite, gypsum or amorphous silica.</param>
    /// <exception cref="ArgumentOutOfRangeException">The reaction is not that of a solid.</exception>
    public double SaturationIndex(Reaction solid)
    {
        double product = solid switch
        {
            Reaction.Calcite or Reaction.Aragonite => LogActivity(Species.Calcium)
                + LogActivity(Species.Carbonate),
            Reaction.Gypsum => LogActivity(Species.Calcium)
                + LogActivity(Species.Sulfate)
                + 2 * Math.Log10(WaterActivity),
            Reaction.AmorphousSilica => LogActivity(Species.SilicicAcid) - 2 * Math.Log10(WaterActivity),
            _ => throw new ArgumentOutOfRangeException(nameof(solid), solid, "Not a solid."),
        };
        return product - Equilibria.LogK(solid, TemperatureKelvin); // eq. water-15
    }

    /// <summary>The composition of this water: its totals, total carbon found included, and its charge.</summary>
    public WaterComposition ToComposition() => new(_totals, NetCharge, TemperatureKelvin);
}
