using Rinsewright.Drying;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>Water on its way through a train.</summary>
/// <param name="Composition">What is dissolved in it.</param>
/// <param name="Oxidants">Free chlorine and chloramine.</param>
/// <param name="Solids">Suspended solids.</param>
public sealed record TrainWater(WaterComposition Composition, Oxidants Oxidants, MassConcentration Solids)
{
    /// <summary>Its temperature.</summary>
    public Temperature Temperature => Temperature.FromKelvins(Composition.TemperatureKelvin);
}

/// <summary>What a meter and a drop test show of a water, and what it leaves when it dries.</summary>
/// <param name="PH">pH of the water brought to 25 °C [-].</param>
/// <param name="Conductivity_uS_cm">Conductivity of the water brought to 25 °C [µS/cm].</param>
/// <param name="Hardness_mol_m3">Calcium and magnesium [mol/m³].</param>
/// <param name="Residue_mg_L">What is left on drying, bicarbonate as carbonate and silica included [mg/L].</param>
/// <param name="Silica_mg_L">Silica as SiO2 [mg/L].</param>
/// <param name="Spots">What a drop of it leaves on the paint, by the salts that its ions pair to.</param>
public sealed record WaterReading(
    double PH,
    double Conductivity_uS_cm,
    double Hardness_mol_m3,
    double Residue_mg_L,
    double Silica_mg_L,
    SpotIndex Spots
)
{
    /// <summary>Reads a closed water.</summary>
    /// <param name="water">The water.</param>
    /// <param name="solver">Solver to use.</param>
    /// <param name="species">Working space.</param>
    /// <returns>The reading, or nothing when the speciation cannot be solved.</returns>
    public static WaterReading? Of(WaterComposition water, SpeciationSolver solver, Speciation species)
    {
        WaterComposition warm = water.AtTemperature(Conductance.ReferenceTemperature);
        if (solver.Solve(warm, warm.Closed, species) != SpeciationStatus.Solved)
        {
            return null;
        }

        return new WaterReading(
            species.PH,
            Conductance.Conductivity(species) * 1e4,
            water[Component.Calcium] + water[Component.Magnesium],
            WaterIndices.Residue(species),
            1e3 * IonCatalog.MolarMass(Component.Silica) * water[Component.Silica],
            SpotIndex.BySalts(water)
        );
    }
}

/// <summary>The line at which a stage's water is no longer good enough; whichever is passed first ends the run.</summary>
/// <param name="Conductivity_uS_cm">Greatest conductivity at 25 °C [µS/cm].</param>
/// <param name="Hardness_mol_m3">Greatest hardness [mol/m³].</param>
/// <param name="Residue_mg_L">Greatest residue on drying [mg/L].</param>
/// <param name="Silica_mg_L">Greatest silica as SiO2 [mg/L].</param>
/// <param name="Spots_mg_m2">Greatest spot index [mg/m²].</param>
public sealed record ExitLine(
    double? Conductivity_uS_cm = null,
    double? Hardness_mol_m3 = null,
    double? Residue_mg_L = null,
    double? Silica_mg_L = null,
    double? Spots_mg_m2 = null
)
{
    /// <summary>Factor from conductivity to TDS of a sodium-chloride meter [mg/L per µS/cm].</summary>
    public const double UsualMeterFactor = 0.5;

    /// <summary>
    /// Deionised water: 20 µS/cm, which a sodium-chloride meter shows as 10 ppm; common practice, no source.
    /// </summary>
    public static ExitLine Deionised { get; } = new(Conductivity_uS_cm: 20.0);

    /// <summary>Softened water: 0.1 mol/m³, 10 mg/L as CaCO3; common practice, no source.</summary>
    public static ExitLine Softened { get; } = new(Hardness_mol_m3: 0.1);

    /// <summary>A line as a person writes it.</summary>
    /// <param name="line">The line.</param>
    /// <param name="meterFactor">The meter's factor from conductivity to TDS [-].</param>
    public static ExitLine Of(ChangeOutLine line, double meterFactor = UsualMeterFactor) =>
        line.Kind switch
        {
            LineKind.MeterReading => new(Conductivity_uS_cm: line.Value / meterFactor),
            LineKind.Conductivity => new(Conductivity_uS_cm: line.Value),
            LineKind.Residue => new(Residue_mg_L: line.Value),
            LineKind.Silica => new(Silica_mg_L: line.Value),
            _ => new(Spots_mg_m2: line.Value),
        };

    /// <summary>How far a water is over the line [-]: zero on it, negative when it holds.</summary>
    internal double Excess(WaterReading reading)
    {
        double worst = -1.0;
        void Count(double? line, double value) =>
            worst = line is { } bound ? double.Max(worst, (value / bound) - 1.0) : worst;
        Count(Conductivity_uS_cm, reading.Conductivity_uS_cm);
        Count(Hardness_mol_m3, reading.Hardness_mol_m3);
        Count(Residue_mg_L, reading.Residue_mg_L);
        Count(Silica_mg_L, reading.Silica_mg_L);
        Count(Spots_mg_m2, reading.Spots.MilligramsPerSquareMeter);
        return worst;
    }
}
