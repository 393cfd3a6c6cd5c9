namespace Rinsewright.Water;

/// <summary>How a meter refers a conductivity at the water's temperature to 25 °C.</summary>
public abstract record Compensation
{
    private Compensation() { }

    /// <summary>Shows the conductivity at the temperature of the water.</summary>
    public static Compensation None { get; } = new Uncompensated();

    /// <summary>Non-linear compensation of natural waters, ISO 7888 (key <c>iso7888</c>), 0–35 °C.</summary>
    public static Compensation NaturalWater { get; } = new NonLinear();

    /// <summary>
    /// Takes out the conductivity of pure water, compensates the rest linearly by 1.9 %/°C, and puts back that of pure water at
    /// 25 °C: for polished water, whose own ions grow by some 5 %/°C.
    /// </summary>
    public static Compensation Ultrapure { get; } = new PureWater();

    /// <summary>Linear compensation, k25 = k/(1 + a (t − 25 °C)) (key <c>standardmethods</c>, 2510 B).</summary>
    /// <param name="percentPerDegree">Slope a in [%] per °C.</param>
    /// <exception cref="ArgumentOutOfRangeException">Outside 0–4 %/°C, the span over which the divisor stays positive from 0 °C up.</exception>
    public static Compensation Linear(double percentPerDegree) =>
        percentPerDegree is >= 0 and < 4
            ? new Slope(percentPerDegree)
            : throw new ArgumentOutOfRangeException(
                nameof(percentPerDegree),
                percentPerDegree,
                "A compensation slope lies between 0 and 4 %/°C."
            );

    /// <summary>The conductivity that the meter shows as that at 25 °C [S/m].</summary>
    /// <param name="conductivity">Conductivity at the temperature of the water [S/m].</param>
    /// <param name="temperature">Temperature [K].</param>
    public abstract double To25(double conductivity, double temperature);

    /// <summary>The conductivity at a temperature that the meter would show as a given one [S/m]: the inverse of <see cref="To25"/>.</summary>
    /// <param name="compensated">Conductivity referred to 25 °C [S/m].</param>
    /// <param name="temperature">Temperature [K].</param>
    public abstract double From25(double compensated, double temperature);

    /// <summary>Conductivity of pure water [S/m].</summary>
    /// <param name="temperature">Temperature [K].</param>
    public static double OfPureWater(double temperature)
    {
        double ratio =
            WaterProperties.DiffusionFactor(temperature) * Conductance.ReferenceTemperature / temperature;
        double mobility =
            IonCatalog.Of(Species.Hydrogen).LimitingConductivity(temperature, ratio)
            + IonCatalog.Of(Species.Hydroxide).LimitingConductivity(temperature, ratio);
        double ions = Math.Pow(10, 0.5 * WaterProperties.LogIonisation(temperature));
        return mobility * ions * WaterProperties.Density(temperature); // eq. water-30
    }

    private sealed record Uncompensated : Compensation
    {
        public override double To25(double conductivity, double temperature) => conductivity;

        public override double From25(double compensated, double temperature) => compensated;
    }

    private sealed record Slope(double PercentPerDegree) : Compensation
    {
        public override double To25(double conductivity, double temperature) =>
            conductivity / Divisor(temperature);

        public override double From25(double compensated, double temperature) =>
            compensated * Divisor(temperature);

        private double Divisor(double temperature) =>
            1 + PercentPerDegree / 100 * (temperature - Conductance.ReferenceTemperature); // eq. water-31
    }

    private sealed record NonLinear : Compensation
    {
        public override double To25(double conductivity, double temperature) =>
            conductivity * Iso7888.Factor(temperature);

        public override double From25(double compensated, double temperature) =>
            compensated / Iso7888.Factor(temperature);
    }

    private sealed record PureWater : Compensation
    {
        private const double ImpurityPercentPerDegree = 1.9;

        private static readonly Compensation Impurity = new Slope(ImpurityPercentPerDegree);

        public override double To25(double conductivity, double temperature) =>
            Impurity.To25(conductivity - OfPureWater(temperature), temperature)
            + OfPureWater(Conductance.ReferenceTemperature); // eq. water-32

        public override double From25(double compensated, double temperature) =>
            Impurity.From25(compensated - OfPureWater(Conductance.ReferenceTemperature), temperature)
            + OfPureWater(temperature);
    }
}
