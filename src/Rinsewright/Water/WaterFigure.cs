namespace Rinsewright.Water;

/// <summary>A number that is computed for every member of a source water.</summary>
public enum WaterFigure
{
    /// <summary>pH at the sample's temperature [-].</summary>
    PH,

    /// <summary>Temperature of the sample [°C].</summary>
    Temperature,

    /// <summary>Ionic strength [mol/L].</summary>
    IonicStrength,

    /// <summary>Charge balance [%].</summary>
    ChargeBalance,

    /// <summary>Conductivity at the sample's temperature [µS/cm].</summary>
    Conductivity,

    /// <summary>Conductivity at 25 °C [µS/cm].</summary>
    Conductivity25,

    /// <summary>Hardness [mg/L as CaCO3].</summary>
    Hardness,

    /// <summary>Alkalinity [mg/L as CaCO3].</summary>
    Alkalinity,

    /// <summary>Dissolved carbon dioxide [mg/L].</summary>
    CarbonDioxide,

    /// <summary>Sum of dissolved solids [mg/L].</summary>
    SumOfSolids,

    /// <summary>Residue at 180 °C [mg/L].</summary>
    Residue180,

    /// <summary>Saturation index of calcite [-].</summary>
    Calcite,

    /// <summary>Saturation index of aragonite [-].</summary>
    Aragonite,

    /// <summary>Saturation index of gypsum [-].</summary>
    Gypsum,

    /// <summary>Saturation index of amorphous silica [-].</summary>
    AmorphousSilica,

    /// <summary>Langelier index [-].</summary>
    Langelier,

    /// <summary>Ryznar index [-].</summary>
    Ryznar,

    /// <summary>Calcium carbonate precipitation potential [mg/L as CaCO3].</summary>
    CalcitePotential,

    /// <summary>Silica [mg/L as SiO2].</summary>
    Silica,
}
