using System.Runtime.InteropServices;

namespace Rinsewright.Water;

/// <summary>
/// Electrical conductivity of a water from its free ions: limiting conductivities of the ions at the water's temperature,
/// lowered by the drag of the ion atmosphere (electrophoresis and relaxation) after Debye, Hückel, Onsager and Falkenhagen
/// (key <c>robinson1959</c>). Uncharged pairs carry nothing, which is why it needs a speciation.
/// </summary>
/// <remarks>
/// Assumptions: the counter-ions of an ion act like one ion of their mean charge and mobility; one ion size for all. Valid to
/// an ionic strength of about 0.1 mol/kg, 0–45 °C. See docs/models/water.md.
/// </remarks>
public static class Conductance
{
    /// <summary>The reference temperature of specific conductance [K].</summary>
    public const double ReferenceTemperature = 298.15;

    // Ion size of the Falkenhagen correction [m]: the value usual for potassium chloride; our choice for all ions.
    private const double IonSize = 3.5e-10;

    /// <summary>Conductivity at the temperature of the water [S/m].</summary>
    /// <param name="water">A solved speciation.</param>
    public static double Conductivity(Speciation water)
    {
        double temperature = water.TemperatureKelvin;
        double et = WaterProperties.DielectricConstant(temperature) * temperature;
        double poise = WaterProperties.Viscosity(temperature) * 10;
        ReadOnlySpan<Ion> ions = IonCatalog.All;
        ReadOnlySpan<double> molality = water.Molalities;
        double viscosityRatio =
            WaterProperties.DiffusionFactor(temperature) * ReferenceTemperature / temperature;
        Side cations = default;
        Side anions = default;
        for (int i = 0; i < ions.Length; i++)
        {
            int z = ions[i].Charge;
            if (z != 0)
            {
                double limiting = ions[i].LimitingConductivity(temperature, viscosityRatio);
                double amount = molality[i];
                if (z > 0)
                {
                    cations.Add(z, amount, limiting);
                }
                else
                {
                    anions.Add(-z, amount, limiting);
                }
            }
        }

        double liter = water.WaterDensity / 1000;
        double strength = 0.5 * (cations.SquareSum + anions.SquareSum) * liter; // [mol/L]
        double root = Math.Sqrt(strength);
        double thickness = DebyeHuckel.B(temperature) * IonSize * root;
        double screening = root / (1 + thickness);
        double electrophoresis = 41.25e-4 / (poise * Math.Sqrt(et)) * screening; // [S·m²/eq], eq. water-25
        double relaxation = 2.801e6 / (et * Math.Sqrt(et)) * screening;
        double sum = 0;
        for (int i = 0; i < ions.Length; i++)
        {
            int charge = ions[i].Charge;
            if (charge == 0 || molality[i] == 0)
            {
                continue;
            }

            double z = Math.Abs(charge);
            double limiting = ions[i].LimitingConductivity(temperature, viscosityRatio) / z; // [S·m²/eq]
            Side counter = charge > 0 ? anions : cations;
            double zc = counter.MeanCharge;
            double q =
                z
                * zc
                * (limiting + counter.MeanConductivity)
                / ((z + zc) * (zc * limiting + z * counter.MeanConductivity)); // eq. water-26
            double rootQ = Math.Sqrt(q);
            double spread = (1 - rootQ) * thickness;
            double growth = spread > 1e-9 ? Math.Exp(spread) - 1 : spread;
            double shape = spread > 1e-9 ? growth / spread : 1;
            double slowing = relaxation * z * zc * q / (1 + rootQ) * shape;
            double conductivity = (limiting - electrophoresis * z) * (1 - slowing); // eq. water-27
            sum += z * Math.Max(0, conductivity) * molality[i];
        }

        return sum * water.WaterDensity; // eq. water-28
    }

    /// <summary>
    /// Specific conductance [S/m]: the conductivity of the same closed water brought to 25 °C, speciated anew, as an ideal
    /// compensation would show it.
    /// </summary>
    /// <param name="water">A solved speciation at any temperature.</param>
    /// <param name="solver">Solves for 25 °C.</param>
    /// <param name="scratch">Receives the species at 25 °C.</param>
    /// <returns>The specific conductance [S/m], or NaN when the water has no solution at 25 °C (see the status of <paramref name="scratch"/>).</returns>
    public static double SpecificConductance(Speciation water, SpeciationSolver solver, Speciation scratch)
    {
        double ratio = WaterProperties.Density(ReferenceTemperature) / water.WaterDensity;
        Span<double> totals = stackalloc double[IonCatalog.ComponentCount];
        for (int i = 0; i < totals.Length; i++)
        {
            totals[i] = water.Totals[i] * ratio;
        }

        SpeciationStatus status = solver.Solve(
            totals,
            ReferenceTemperature,
            SpeciationTarget.ChargeAndTotalCarbon(water.NetCharge * ratio, water.TotalCarbon * ratio),
            scratch
        );
        return status == SpeciationStatus.Solved ? Conductivity(scratch) : double.NaN;
    }

    /// <summary>The ions of one sign, taken together.</summary>
    [StructLayout(LayoutKind.Auto)]
    private struct Side
    {
        private double _equivalents;
        private double _weighted;

        /// <summary>Σ z² m [mol/kg].</summary>
        public double SquareSum { get; private set; }

        /// <summary>Mean charge number, Σ z² m/Σ |z| m [-].</summary>
        public readonly double MeanCharge => _equivalents > 0 ? SquareSum / _equivalents : 1;

        /// <summary>Mean limiting conductivity per equivalent [S·m²/eq].</summary>
        public readonly double MeanConductivity => _equivalents > 0 ? _weighted / _equivalents : 50e-4;

        public void Add(int z, double molality, double limiting)
        {
            _equivalents += z * molality;
            _weighted += limiting * molality;
            SquareSum += z * z * molality;
        }
    }
}
