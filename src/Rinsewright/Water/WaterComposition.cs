namespace Rinsewright.Water;

/// <summary>
/// What is dissolved in a water: the total of every <see cref="Component"/>, the small charge that its analysis leaves over,
/// and the temperature at which its volume is meant. Immutable.
/// </summary>
/// <remarks>
/// The charge residual stays with the water through everything that happens to it, so that its pH can always be found from
/// the balance of charge.
/// </remarks>
public sealed class WaterComposition
{
    private readonly double[] _totals;

    /// <summary>Makes a composition.</summary>
    /// <param name="totals">Totals by <see cref="Component"/> [mol/m³]; length: number of components.</param>
    /// <param name="chargeResidual">Net charge of all species [eq/m³].</param>
    /// <param name="temperatureKelvin">Temperature [K].</param>
    /// <exception cref="ArgumentException">Wrong length.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A total is negative, or a value is not finite.</exception>
    public WaterComposition(ReadOnlySpan<double> totals, double chargeResidual, double temperatureKelvin)
    {
        if (totals.Length != IonCatalog.ComponentCount)
        {
            throw new ArgumentException($"Expected {IonCatalog.ComponentCount} totals.", nameof(totals));
        }

        foreach (double total in totals)
        {
            if (!double.IsFinite(total) || total < 0)
            {
                throw new ArgumentOutOfRangeException(
                    nameof(totals),
                    total,
                    "A total must be finite and at least 0 mol/m³."
                );
            }
        }

        if (!double.IsFinite(chargeResidual))
        {
            throw new ArgumentOutOfRangeException(nameof(chargeResidual), chargeResidual, "Must be finite.");
        }

        if (!double.IsFinite(temperatureKelvin) || temperatureKelvin <= 0)
        {
            throw new ArgumentOutOfRangeException(
                nameof(temperatureKelvin),
                temperatureKelvin,
                "Must be finite and above 0 K."
            );
        }

        _totals = totals.ToArray();
        ChargeResidual = chargeResidual;
        TemperatureKelvin = temperatureKelvin;
    }

    /// <summary>Net charge of all species [eq/m³], positive when cations are over.</summary>
    public double ChargeResidual { get; }

    /// <summary>Temperature [K].</summary>
    public double TemperatureKelvin { get; }

    /// <summary>Totals by <see cref="Component"/> [mol/m³].</summary>
    public ReadOnlySpan<double> Totals => _totals;

    /// <summary>Total of one component [mol/m³].</summary>
    public double this[Component component] => _totals[(int)component];

    /// <summary>
    /// The same water brought to another temperature without loss or gain: amounts per mass of water stay, so amounts per
    /// volume follow the density.
    /// </summary>
    /// <param name="temperatureKelvin">The new temperature [K].</param>
    public WaterComposition AtTemperature(double temperatureKelvin)
    {
        double ratio =
            WaterProperties.Density(temperatureKelvin) / WaterProperties.Density(TemperatureKelvin);
        return Scaled(ratio, temperatureKelvin);
    }

    /// <summary>The water with every amount multiplied, as by dilution or evaporation.</summary>
    /// <param name="factor">Factor [-].</param>
    public WaterComposition Concentrated(double factor) => Scaled(factor, TemperatureKelvin);

    /// <summary>The water with one total replaced.</summary>
    /// <param name="component">Which.</param>
    /// <param name="total">Its new total [mol/m³].</param>
    /// <param name="chargeResidual">The new charge residual [eq/m³].</param>
    public WaterComposition With(Component component, double total, double chargeResidual)
    {
        double[] totals = [.. _totals];
        totals[(int)component] = total;
        return new WaterComposition(totals, chargeResidual, TemperatureKelvin);
    }

    /// <summary>The closed-water target of this composition: its own carbon and its own charge residual.</summary>
    public SpeciationTarget Closed =>
        SpeciationTarget.ChargeAndTotalCarbon(ChargeResidual, this[Component.InorganicCarbon]);

    /// <summary>The target of this composition open to a gas.</summary>
    /// <param name="logPartialPressure">log10 of the partial pressure of carbon dioxide in atm [-].</param>
    public SpeciationTarget Open(double logPartialPressure) =>
        SpeciationTarget.ChargeAndCarbonDioxide(ChargeResidual, logPartialPressure);

    private WaterComposition Scaled(double factor, double temperatureKelvin)
    {
        double[] totals = [.. _totals];
        for (int i = 0; i < totals.Length; i++)
        {
            totals[i] *= factor;
        }

        return new WaterComposition(totals, ChargeResidual * factor, temperatureKelvin);
    }
}
