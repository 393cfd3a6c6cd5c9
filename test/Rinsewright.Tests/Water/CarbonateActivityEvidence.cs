using Rinsewright.Tests.Evidence;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

/// <summary>How active carbonate and bicarbonate stay in salt water, against a model fitted to measured activities.</summary>
public sealed class CarbonateActivityEvidence : IEvidenceSet
{
    private const double Kelvin = 298.15;
    private const double Trace = 1e-4; // [mol/m³], carbon too scarce to change the salt

    private static readonly double[] Strengths = [0.01, 0.03, 0.1, 0.2, 0.3, 0.5]; // [mol/kg]

    private static readonly Dictionary<string, Anion> Anions = DataTable
        .Read("data/published/harvie1984/sodium-carbonate.csv")
        .Rows.ToDictionary(
            r => r.Text("anion"),
            r => new Anion(
                (int)r.Number("charge"),
                r.Number("beta0"),
                r.Number("beta1"),
                r.Number("cphi"),
                r.Number("theta"),
                r.Number("psi")
            ),
            StringComparer.Ordinal
        );

    public IEnumerable<EvidenceRow> Rows()
    {
        yield return new(
            "water",
            "activity of carbonate over bicarbonate in sodium chloride, 0.01 to 0.5 mol/kg",
            EvidenceKind.Published,
            "harvie1984",
            Strengths.Length,
            Strengths.Worst(m =>
                Math.Abs(Found(m) - (LogGamma("carbonate", m) - LogGamma("bicarbonate", m)))
            ),
            0.03,
            "log10",
            "the constant of the sodium carbonate pair was chosen by them; with the 1.27 of nordstrom1990 carbonate is 0.3 less active at 0.5 mol/kg"
        );
        yield return new(
            "water",
            "mean activity coefficient of sodium chloride, 0.1 and 0.5 mol/kg, by the check's own ion-interaction model",
            EvidenceKind.Published,
            "robinson1959",
            2,
            Math.Max(Math.Abs(Math.Pow(10, Salt(0.1)) - 0.778), Math.Abs(Math.Pow(10, Salt(0.5)) - 0.681)),
            0.002,
            "activity coefficient",
            "values from memory"
        );
    }

    private static double Found(double molality)
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Sodium] = totals[(int)Component.Chloride] =
            molality * WaterProperties.Density(Kelvin);
        var species = new Speciation();
        Assert.Equal(
            SpeciationStatus.Solved,
            new SpeciationSolver().Solve(
                totals,
                Kelvin,
                SpeciationTarget.PHAndTotalCarbon(10, Trace),
                species
            )
        );
        return OfTotal(species, Species.Carbonate, Species.SodiumCarbonate)
            - OfTotal(species, Species.Bicarbonate, Species.SodiumBicarbonate);
    }

    /// <summary>log10 of an ion's activity over all of it, free and paired [-].</summary>
    private static double OfTotal(Speciation species, Species ion, Species pair) =>
        species.LogActivity(ion) - Math.Log10(species.Molalities[(int)ion] + species.Molalities[(int)pair]);

    private static double Salt(double m) => (LogGamma("chloride", m) + Sodium(m)) / 2;

    private static double Sodium(double m)
    {
        Anion chloride = Anions["chloride"];
        return (LongRange(m) + 2 * m * chloride.B(m) + 3 * m * m * chloride.C) / Math.Log(10);
    }

    /// <summary>log10 of the activity coefficient of an anion, itself scarce or chloride, in sodium chloride of molality m (harvie1984).</summary>
    private static double LogGamma(string name, double m)
    {
        Anion anion = Anions[name];
        int z = anion.Charge;
        return (
                z * z * LongRange(m)
                + 2 * m * (anion.B(m) + m * anion.C)
                + 2 * m * (anion.Theta + Unsymmetrical(z, m))
                + m * m * anion.Psi
                + z * m * m * Anions["chloride"].C
            ) / Math.Log(10);
    }

    private static double LongRange(double m)
    {
        double root = Math.Sqrt(m);
        double slope = DebyeHuckelSlope * (root / (1 + 1.2 * root) + 2 / 1.2 * Math.Log(1 + 1.2 * root));
        return m * m * Anions["chloride"].Beta1 * Derivative(2 * root) / m - slope;
    }

    private const double DebyeHuckelSlope = 0.392;

    private static double G(double x) => 2 * (1 - (1 + x) * Math.Exp(-x)) / (x * x);

    private static double Derivative(double x) => -2 * (1 - (1 + x + x * x / 2) * Math.Exp(-x)) / (x * x);

    /// <summary>What two ions of one sign but unlike charge add by electrostatics alone (pitzer1975).</summary>
    private static double Unsymmetrical(int z, double m)
    {
        if (z == 1)
        {
            return 0;
        }

        double unit = 6 * DebyeHuckelSlope * Math.Sqrt(m);
        return z / (4 * m) * (J(z * unit) - J(z * z * unit) / 2 - J(unit) / 2);
    }

    private static double J(double x) =>
        x / (4 + 4.581 * Math.Pow(x, -0.7237) * Math.Exp(-0.012 * Math.Pow(x, 0.528)));

    private sealed record Anion(int Charge, double Beta0, double Beta1, double CPhi, double Theta, double Psi)
    {
        public double C => CPhi / (2 * Math.Sqrt(Charge));

        public double B(double m) => Beta0 + Beta1 * G(2 * Math.Sqrt(m));
    }
}
