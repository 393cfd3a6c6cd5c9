using System.Runtime.InteropServices;

namespace Rinsewright.Water;

/// <summary>
/// The two facts that fix a water's acid–base state beside its totals. One settles the pH: it is given, or follows from
/// alkalinity or from the balance of charge. The other settles inorganic carbon: its total, the pressure of carbon
/// dioxide above the water, or (with a given pH) the alkalinity.
/// </summary>
[StructLayout(LayoutKind.Auto)]
public readonly record struct SpeciationTarget
{
    private SpeciationTarget(PHRule phRule, CarbonRule carbonRule, double first, double second)
    {
        PHRule = phRule;
        CarbonRule = carbonRule;
        First = first;
        Second = second;
    }

    internal PHRule PHRule { get; }

    internal CarbonRule CarbonRule { get; }

    internal double First { get; }

    internal double Second { get; }

    /// <summary>pH and alkalinity measured; total carbon follows.</summary>
    /// <param name="pH">pH [-].</param>
    /// <param name="alkalinity">Alkalinity [eq/m³].</param>
    public static SpeciationTarget PHAndAlkalinity(double pH, double alkalinity) =>
        new(PHRule.Given, CarbonRule.Alkalinity, pH, alkalinity);

    /// <summary>pH and total carbon measured; alkalinity follows.</summary>
    /// <param name="pH">pH [-].</param>
    /// <param name="totalCarbon">Total inorganic carbon [mol/m³].</param>
    public static SpeciationTarget PHAndTotalCarbon(double pH, double totalCarbon) =>
        new(PHRule.Given, CarbonRule.Total, pH, totalCarbon);

    /// <summary>pH measured, water in equilibrium with a gas.</summary>
    /// <param name="pH">pH [-].</param>
    /// <param name="logPartialPressure">log10 of the partial pressure of carbon dioxide in atm [-].</param>
    public static SpeciationTarget PHAndCarbonDioxide(double pH, double logPartialPressure) =>
        new(PHRule.Given, CarbonRule.Pressure, pH, logPartialPressure);

    /// <summary>Alkalinity known, water in equilibrium with a gas; pH and total carbon follow.</summary>
    /// <param name="alkalinity">Alkalinity [eq/m³].</param>
    /// <param name="logPartialPressure">log10 of the partial pressure of carbon dioxide in atm [-].</param>
    public static SpeciationTarget AlkalinityAndCarbonDioxide(double alkalinity, double logPartialPressure) =>
        new(PHRule.Alkalinity, CarbonRule.Pressure, alkalinity, logPartialPressure);

    /// <summary>Alkalinity and total carbon known; pH follows.</summary>
    /// <param name="alkalinity">Alkalinity [eq/m³].</param>
    /// <param name="totalCarbon">Total inorganic carbon [mol/m³].</param>
    public static SpeciationTarget AlkalinityAndTotalCarbon(double alkalinity, double totalCarbon) =>
        new(PHRule.Alkalinity, CarbonRule.Total, alkalinity, totalCarbon);

    /// <summary>Closed water: pH from the balance of charge.</summary>
    /// <param name="chargeResidual">Net charge that the water keeps [eq/m³].</param>
    /// <param name="totalCarbon">Total inorganic carbon [mol/m³].</param>
    public static SpeciationTarget ChargeAndTotalCarbon(double chargeResidual, double totalCarbon) =>
        new(PHRule.Charge, CarbonRule.Total, chargeResidual, totalCarbon);

    /// <summary>Water open to a gas: pH from the balance of charge.</summary>
    /// <param name="chargeResidual">Net charge that the water keeps [eq/m³].</param>
    /// <param name="logPartialPressure">log10 of the partial pressure of carbon dioxide in atm [-].</param>
    public static SpeciationTarget ChargeAndCarbonDioxide(double chargeResidual, double logPartialPressure) =>
        new(PHRule.Charge, CarbonRule.Pressure, chargeResidual, logPartialPressure);
}

internal enum PHRule
{
    Given,
    Alkalinity,
    Charge,
}

internal enum CarbonRule
{
    Total,
    Pressure,
    Alkalinity,
}

/// <summary>How a speciation ended.</summary>
public enum SpeciationStatus
{
    /// <summary>Nothing has been solved yet.</summary>
    NotSolved,

    /// <summary>All balances are met.</summary>
    Solved,

    /// <summary>A total is negative or not a number.</summary>
    InvalidTotals,

    /// <summary>The temperature lies outside 0–45 °C.</summary>
    TemperatureOutOfRange,

    /// <summary>No pH between −1 and 15 satisfies the alkalinity or charge asked for.</summary>
    NoSuchPH,

    /// <summary>At the given pH the other acids and bases already exceed the given alkalinity: no carbon total satisfies it.</summary>
    NoSuchCarbon,

    /// <summary>The iteration did not settle.</summary>
    NotConverged,
}
