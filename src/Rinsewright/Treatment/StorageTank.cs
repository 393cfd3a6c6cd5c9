using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>
/// A tank open to the air: its water takes up or gives off carbon dioxide towards balance with the air.
/// </summary>
/// <remarks>
/// Well-mixed water, two-film transfer without chemical enhancement: d(total carbon)/dt = −(k A/V)([CO2] − [CO2]*)
/// (docs/models/train.md). Deionised water in it ends near 1 µS/cm and pH 5.6; permeate loses its excess.
/// </remarks>
/// <param name="Volume">Water in the tank.</param>
/// <param name="Surface_m2">Water surface open to the air [m²].</param>
public sealed record StorageTank(Volume Volume, double Surface_m2)
{
    private const double StepOfTransfer = 0.05;
    private const double TransferUnitsToBalance = 15.0;

    /// <summary>
    /// Transfer coefficient k of still water [m/s]: 5e-6, seen 1e-6 (still) to 5e-5 (stirred); from memory of gas-exchange
    /// literature.
    /// </summary>
    public double Transfer_m_s { get; init; } = 5e-6;

    /// <summary>log10 of the partial pressure of carbon dioxide in atm [-]: −3.38 is 417 ppm; closed rooms hold more.</summary>
    public double LogCarbonDioxidePressure { get; init; } = -3.38;

    /// <summary>Pressure of the delivery pump, with the tool shut.</summary>
    public Pressure DeliveryPressure { get; init; } = Pressure.FromBars(2.5);

    /// <summary>The water after it has stood.</summary>
    /// <param name="filled">The water as it was filled in.</param>
    /// <param name="standing">How long it stands.</param>
    /// <returns>The water, or nothing when its speciation cannot be solved.</returns>
    public WaterComposition? AfterStanding(WaterComposition filled, TimeSpan standing)
    {
        var solver = new SpeciationSolver();
        var species = new Speciation();
        if (solver.Solve(filled, filled.Open(LogCarbonDioxidePressure), species) != SpeciationStatus.Solved)
        {
            return null;
        }

        double balance = species.CarbonDioxide;
        double balancedCarbon = species.TotalCarbon;
        double rate_1_s = Transfer_m_s * Surface_m2 / Volume.CubicMeters;
        double units = rate_1_s * standing.TotalSeconds;
        if (units > TransferUnitsToBalance)
        {
            return WithCarbon(filled, balancedCarbon);
        }

        int steps = 1 + (int)(units / StepOfTransfer);
        double step = units / steps;
        double carbon = filled[Component.InorganicCarbon];
        for (int i = 0; i < steps; i++)
        {
            if (
                CarbonDioxide(filled, carbon, solver, species) is not { } start
                || CarbonDioxide(filled, carbon - (0.5 * step * (start - balance)), solver, species)
                    is not { } middle
            )
            {
                return null;
            }

            carbon -= step * (middle - balance); // eq. train-2
        }

        return WithCarbon(filled, carbon);
    }

    private static double? CarbonDioxide(
        WaterComposition water,
        double carbon,
        SpeciationSolver solver,
        Speciation species
    ) =>
        solver.Solve(
            water,
            SpeciationTarget.ChargeAndTotalCarbon(water.ChargeResidual, double.Max(0.0, carbon)),
            species
        ) == SpeciationStatus.Solved
            ? species.CarbonDioxide
            : null;

    private static WaterComposition WithCarbon(WaterComposition water, double carbon) =>
        water.With(Component.InorganicCarbon, double.Max(0.0, carbon), water.ChargeResidual);
}
