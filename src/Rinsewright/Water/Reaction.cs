namespace Rinsewright.Water;

/// <summary>
/// Reactions with a published equilibrium constant; the constant is <see cref="Equilibria.LogK"/>, molal activities.
/// </summary>
public enum Reaction
{
    /// <summary>H2O = H+ + OH-</summary>
    Water,

    /// <summary>CO2(g) = CO2(aq)</summary>
    CarbonDioxideGas,

    /// <summary>CO2(aq) + H2O = H+ + HCO3-</summary>
    CarbonicAcid,

    /// <summary>HCO3- = H+ + CO3-2</summary>
    Bicarbonate,

    /// <summary>H4SiO4 = H+ + H3SiO4-</summary>
    SilicicAcid,

    /// <summary>H4SiO4 = 2 H+ + H2SiO4-2</summary>
    Trihydrogensilicate,

    /// <summary>HOCl = H+ + OCl-</summary>
    HypochlorousAcid,

    /// <summary>NH4+ = NH3 + H+</summary>
    AmmoniumIon,

    /// <summary>HSO4- = H+ + SO4-2</summary>
    HydrogenSulfate,

    /// <summary>HF = H+ + F-</summary>
    HydrogenFluoride,

    /// <summary>H3PO4 = H+ + H2PO4-</summary>
    Phosphate1,

    /// <summary>H2PO4- = H+ + HPO4-2</summary>
    Phosphate2,

    /// <summary>HPO4-2 = H+ + PO4-3</summary>
    Phosphate3,

    /// <summary>CaCO3(s) = Ca+2 + CO3-2</summary>
    Calcite,

    /// <summary>CaCO3(s) = Ca+2 + CO3-2</summary>
    Aragonite,

    /// <summary>CaSO4:2H2O(s) = Ca+2 + SO4-2 + 2 H2O</summary>
    Gypsum,

    /// <summary>SiO2(s) + 2 H2O = H4SiO4</summary>
    AmorphousSilica,

    /// <summary>Ca+2 + SO4-2 = CaSO4(aq)</summary>
    CalciumSulfatePair,

    /// <summary>Mg+2 + SO4-2 = MgSO4(aq)</summary>
    MagnesiumSulfatePair,

    /// <summary>Na+ + SO4-2 = NaSO4-</summary>
    SodiumSulfatePair,

    /// <summary>K+ + SO4-2 = KSO4-</summary>
    PotassiumSulfatePair,

    /// <summary>NH4+ + SO4-2 = NH4SO4-</summary>
    AmmoniumSulfatePair,

    /// <summary>Fe+2 + SO4-2 = FeSO4(aq)</summary>
    IronSulfatePair,

    /// <summary>Mn+2 + SO4-2 = MnSO4(aq)</summary>
    ManganeseSulfatePair,

    /// <summary>Sr+2 + SO4-2 = SrSO4(aq)</summary>
    StrontiumSulfatePair,

    /// <summary>Ba+2 + SO4-2 = BaSO4(aq)</summary>
    BariumSulfatePair,

    /// <summary>Ca+2 + HCO3- = CaHCO3+</summary>
    CalciumBicarbonatePair,

    /// <summary>Mg+2 + HCO3- = MgHCO3+</summary>
    MagnesiumBicarbonatePair,

    /// <summary>Na+ + HCO3- = NaHCO3(aq)</summary>
    SodiumBicarbonatePair,

    /// <summary>Sr+2 + HCO3- = SrHCO3+</summary>
    StrontiumBicarbonatePair,

    /// <summary>Ba+2 + HCO3- = BaHCO3+</summary>
    BariumBicarbonatePair,

    /// <summary>Fe+2 + HCO3- = FeHCO3+</summary>
    IronBicarbonatePair,

    /// <summary>Mn+2 + HCO3- = MnHCO3+</summary>
    ManganeseBicarbonatePair,

    /// <summary>Ca+2 + CO3-2 = CaCO3(aq)</summary>
    CalciumCarbonatePair,

    /// <summary>Mg+2 + CO3-2 = MgCO3(aq)</summary>
    MagnesiumCarbonatePair,

    /// <summary>Na+ + CO3-2 = NaCO3-</summary>
    SodiumCarbonatePair,

    /// <summary>Sr+2 + CO3-2 = SrCO3(aq)</summary>
    StrontiumCarbonatePair,

    /// <summary>Ba+2 + CO3-2 = BaCO3(aq)</summary>
    BariumCarbonatePair,

    /// <summary>Fe+2 + CO3-2 = FeCO3(aq)</summary>
    IronCarbonatePair,

    /// <summary>Mn+2 + CO3-2 = MnCO3(aq)</summary>
    ManganeseCarbonatePair,

    /// <summary>Ca+2 + H2O = CaOH+ + H+</summary>
    CalciumHydroxidePair,

    /// <summary>Mg+2 + H2O = MgOH+ + H+</summary>
    MagnesiumHydroxidePair,

    /// <summary>Fe+2 + H2O = FeOH+ + H+</summary>
    IronHydroxidePair,

    /// <summary>Mn+2 + H2O = MnOH+ + H+</summary>
    ManganeseHydroxidePair,

    /// <summary>Ca+2 + F- = CaF+</summary>
    CalciumFluoridePair,

    /// <summary>Mg+2 + F- = MgF+</summary>
    MagnesiumFluoridePair,

    /// <summary>Na+ + F- = NaF(aq)</summary>
    SodiumFluoridePair,

    /// <summary>Ca+2 + HPO4-2 = CaHPO4(aq)</summary>
    CalciumHydrogenPhosphatePair,

    /// <summary>Mg+2 + HPO4-2 = MgHPO4(aq)</summary>
    MagnesiumHydrogenPhosphatePair,

    /// <summary>Ca+2 + PO4-3 = CaPO4-</summary>
    CalciumPhosphatePair,

    /// <summary>Mg+2 + PO4-3 = MgPO4-</summary>
    MagnesiumPhosphatePair,

    /// <summary>Ca+2 + H2PO4- = CaH2PO4+</summary>
    CalciumDihydrogenPhosphatePair,

    /// <summary>Mg+2 + H2PO4- = MgH2PO4+</summary>
    MagnesiumDihydrogenPhosphatePair,

    /// <summary>Na+ + HPO4-2 = NaHPO4-</summary>
    SodiumHydrogenPhosphatePair,

    /// <summary>K+ + HPO4-2 = KHPO4-</summary>
    PotassiumHydrogenPhosphatePair,
}
