using Rinsewright.Quantities;

namespace Rinsewright.Water;

/// <summary>The reading of a meter that shows dissolved solids: conductivity at 25 °C times its factor.</summary>
/// <param name="Reading">What it showed.</param>
/// <param name="Factor">Its factor [mg/L per µS/cm].</param>
public sealed record TdsReading(Stated<MassConcentration> Reading, double Factor)
{
    /// <summary>Conductivity at 25 °C that the reading stands for.</summary>
    public Stated<SpecificConductance> Conductance =>
        Reading.Select(
            r => SpecificConductance.FromMicrosiemensPerCentimeter(r.MilligramsPerLiter / Factor),
            0.1 / Factor
        );
}

/// <summary>
/// What is known of a water: a full report, a few test-kit drops, or a pocket reading alone. Everything may be missing;
/// nothing here is completed or corrected (<see cref="SourceWater"/> does that).
/// </summary>
public sealed record WaterAnalysis
{
    /// <summary>What the water is called.</summary>
    public string? Name { get; init; }

    /// <summary>Temperature of the sample.</summary>
    public Stated<Temperature>? Temperature { get; init; }

    /// <summary>pH of the sample at its temperature [-].</summary>
    public Stated<double>? PH { get; init; }

    /// <summary>
    /// Stated totals of ions and of silica. Inorganic carbon is never among them: it is stated as
    /// <see cref="Alkalinity"/> and <see cref="CarbonDioxide"/>.
    /// </summary>
    public IReadOnlyDictionary<Component, Stated<MolarConcentration>> Totals { get; init; } =
        new Dictionary<Component, Stated<MolarConcentration>>();

    /// <summary>Titrated alkalinity.</summary>
    public Stated<EquivalentConcentration>? Alkalinity { get; init; }

    /// <summary>Dissolved carbon dioxide.</summary>
    public Stated<MolarConcentration>? CarbonDioxide { get; init; }

    /// <summary>Hardness: calcium and magnesium together.</summary>
    public Stated<EquivalentConcentration>? Hardness { get; init; }

    /// <summary>Free chlorine, as Cl2.</summary>
    public Stated<MolarConcentration>? FreeChlorine { get; init; }

    /// <summary>Combined chlorine (chloramines), as Cl2.</summary>
    public Stated<MolarConcentration>? CombinedChlorine { get; init; }

    /// <summary>Conductivity, which reports and compensating meters refer to 25 °C.</summary>
    public Stated<SpecificConductance>? Conductivity { get; init; }

    /// <summary>A pocket meter's reading.</summary>
    public TdsReading? Tds { get; init; }

    /// <summary>Conductivity at 25 °C, measured as such or through a pocket reading.</summary>
    public Stated<SpecificConductance>? ConductanceOrReading => Conductivity ?? Tds?.Conductance;
}
