namespace Rinsewright.Water;

/// <summary>
/// The dissolved species of the speciation model. Data of each are in <see cref="IonCatalog"/> under the same name.
/// </summary>
public enum Species
{
    /// <summary>H+</summary>
    Hydrogen,

    /// <summary>OH-</summary>
    Hydroxide,

    /// <summary>Ca+2</summary>
    Calcium,

    /// <summary>Mg+2</summary>
    Magnesium,

    /// <summary>Na+</summary>
    Sodium,

    /// <summary>K+</summary>
    Potassium,

    /// <summary>NH4+</summary>
    Ammonium,

    /// <summary>Fe+2</summary>
    Iron,

    /// <summary>Mn+2</summary>
    Manganese,

    /// <summary>Sr+2</summary>
    Strontium,

    /// <summary>Ba+2</summary>
    Barium,

    /// <summary>Cl-</summary>
    Chloride,

    /// <summary>SO4-2</summary>
    Sulfate,

    /// <summary>NO3-</summary>
    Nitrate,

    /// <summary>F-</summary>
    Fluoride,

    /// <summary>PO4-3</summary>
    Phosphate,

    /// <summary>CO3-2</summary>
    Carbonate,

    /// <summary>H4SiO4</summary>
    SilicicAcid,

    /// <summary>HCO3-</summary>
    Bicarbonate,

    /// <summary>CO2(aq)</summary>
    CarbonDioxide,

    /// <summary>H3SiO4-</summary>
    Trihydrogensilicate,

    /// <summary>H2SiO4-2</summary>
    Dihydrogensilicate,

    /// <summary>NH3</summary>
    Ammonia,

    /// <summary>HSO4-</summary>
    HydrogenSulfate,

    /// <summary>HF</summary>
    HydrogenFluoride,

    /// <summary>H3PO4</summary>
    PhosphoricAcid,

    /// <summary>H2PO4-</summary>
    Dihydrogenphosphate,

    /// <summary>HPO4-2</summary>
    Hydrogenphosphate,

    /// <summary>CaSO4</summary>
    CalciumSulfate,

    /// <summary>MgSO4</summary>
    MagnesiumSulfate,

    /// <summary>NaSO4-</summary>
    SodiumSulfate,

    /// <summary>KSO4-</summary>
    PotassiumSulfate,

    /// <summary>NH4SO4-</summary>
    AmmoniumSulfate,

    /// <summary>FeSO4</summary>
    IronSulfate,

    /// <summary>MnSO4</summary>
    ManganeseSulfate,

    /// <summary>SrSO4</summary>
    StrontiumSulfate,

    /// <summary>BaSO4</summary>
    BariumSulfate,

    /// <summary>CaHCO3+</summary>
    CalciumBicarbonate,

    /// <summary>MgHCO3+</summary>
    MagnesiumBicarbonate,

    /// <summary>NaHCO3</summary>
    SodiumBicarbonate,

    /// <summary>SrHCO3+</summary>
    StrontiumBicarbonate,

    /// <summary>BaHCO3+</summary>
    BariumBicarbonate,

    /// <summary>FeHCO3+</summary>
    IronBicarbonate,

    /// <summary>MnHCO3+</summary>
    ManganeseBicarbonate,

    /// <summary>CaCO3</summary>
    CalciumCarbonate,

    /// <summary>MgCO3</summary>
    MagnesiumCarbonate,

    /// <summary>NaCO3-</summary>
    SodiumCarbonate,

    /// <summary>SrCO3</summary>
    StrontiumCarbonate,

    /// <summary>BaCO3</summary>
    BariumCarbonate,

    /// <summary>FeCO3</summary>
    IronCarbonate,

    /// <summary>MnCO3</summary>
    ManganeseCarbonate,

    /// <summary>CaOH+</summary>
    CalciumHydroxide,

    /// <summary>MgOH+</summary>
    MagnesiumHydroxide,

    /// <summary>FeOH+</summary>
    IronHydroxide,

    /// <summary>MnOH+</summary>
    ManganeseHydroxide,

    /// <summary>CaF+</summary>
    CalciumFluoride,

    /// <summary>MgF+</summary>
    MagnesiumFluoride,

    /// <summary>NaF</summary>
    SodiumFluoride,

    /// <summary>CaHPO4</summary>
    CalciumHydrogenphosphate,

    /// <summary>MgHPO4</summary>
    MagnesiumHydrogenphosphate,

    /// <summary>CaPO4-</summary>
    CalciumPhosphate,

    /// <summary>MgPO4-</summary>
    MagnesiumPhosphate,

    /// <summary>CaH2PO4+</summary>
    CalciumDihydrogenphosphate,

    /// <summary>MgH2PO4+</summary>
    MagnesiumDihydrogenphosphate,

    /// <summary>NaHPO4-</summary>
    SodiumHydrogenphosphate,

    /// <summary>KHPO4-</summary>
    PotassiumHydrogenphosphate,
}
