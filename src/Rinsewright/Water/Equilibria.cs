using System.Text.Json;

namespace Rinsewright.Water;

/// <summary>
/// Equilibrium constants of dilute natural waters, 0–45 °C, on the molal activity scale. Coefficients, sources and
/// uncertainties are in data/parameters/equilibria.json; Kw is that of <see cref="WaterProperties"/>.
/// </summary>
public static class Equilibria
{
    /// <summary>ln 10 [-].</summary>
    internal const double Ln10 = 2.302585092994046;

    private static readonly Constant[] Constants = ParameterFile.Read("equilibria.json", ReadConstants);

    /// <summary>log10 K of a reaction as it is written on <see cref="Reaction"/> [-].</summary>
    /// <param name="reaction">The reaction.</param>
    /// <param name="temperature">Temperature [K].</param>
    public static double LogK(Reaction reaction, double temperature)
    {
        if (reaction == Reaction.Water)
        {
            return WaterProperties.LogIonisation(temperature);
        }

        Constant k = Constants[(int)reaction];
        double inverse = 1 / temperature;
        return k.A
            + k.B * temperature
            + k.C * inverse
            + k.D * Math.Log10(temperature)
            + k.E * inverse * inverse; // eq. water-6
    }

    /// <summary>One standard uncertainty of log10 K at 25 °C [-].</summary>
    public static double Uncertainty(Reaction reaction) => Constants[(int)reaction].Uncertainty;

    /// <summary>Key in docs/references.bib of the source of a constant.</summary>
    public static string Source(Reaction reaction) => Constants[(int)reaction].Source;

    private static Constant[] ReadConstants(JsonElement root)
    {
        var constants = new Constant[Enum.GetValues<Reaction>().Length];
        constants[(int)Reaction.Water] = new Constant(0, 0, 0, 0, 0, 0.01, "iapws-r11-07");
        foreach (JsonElement item in root.GetProperty("reactions").EnumerateArray())
        {
            Reaction reaction = Enum.Parse<Reaction>(item.GetProperty("id").GetString()!);
            double uncertainty = item.GetProperty("uncertainty").GetDouble();
            string source = item.GetProperty("source").GetString()!;
            constants[(int)reaction] = item.TryGetProperty("analytic", out JsonElement analytic)
                ? new Constant(
                    analytic[0].GetDouble(),
                    analytic[1].GetDouble(),
                    analytic[2].GetDouble(),
                    analytic[3].GetDouble(),
                    analytic[4].GetDouble(),
                    uncertainty,
                    source
                )
                : Constant.FromEnthalpy(
                    item.GetProperty("logK25").GetDouble(),
                    item.GetProperty("enthalpy_kJ_mol").GetDouble() * 1000,
                    uncertainty,
                    source
                );
        }

        return constants;
    }

    private readonly record struct Constant(
        double A,
        double B,
        double C,
        double D,
        double E,
        double Uncertainty,
        string Source
    )
    {
        public static Constant FromEnthalpy(double logK25, double enthalpy, double uncertainty, string source)
        {
            double slope = -enthalpy / (Ln10 * PhysicalConstants.GasConstant); // [K]
            return new Constant(
                logK25 - slope / Conductance.ReferenceTemperature,
                0,
                slope,
                0,
                0,
                uncertainty,
                source
            ); // eq. water-7
        }
    }
}
