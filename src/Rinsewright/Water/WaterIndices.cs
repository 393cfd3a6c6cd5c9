namespace Rinsewright.Water;

/// <summary>
/// The numbers by which the trade and the standards describe a water: hardness, alkalinity, balance of charge, scaling indices,
/// dissolved solids. All from one solved <see cref="Speciation"/>.
/// </summary>
public static class WaterIndices
{
    private const double CalciumCarbonate = 100.0869; // [g/mol]
    private const double Bicarbonate = 61.0168; // [g/mol]
    private const double CarbonDioxide = 44.0095; // [g/mol]
    private const double Carbonate = 60.0089; // [g/mol]
    private const double GreatestDissolution = 50; // [mol/m³]

    /// <summary>Calcium and magnesium hardness [mg/L as CaCO3].</summary>
    /// <param name="water">A solved speciation.</param>
    public static double Hardness(Speciation water) =>
        CalciumCarbonate * (Total(water, Component.Calcium) + Total(water, Component.Magnesium)); // eq. water-37

    /// <summary>Alkalinity [mg/L as CaCO3].</summary>
    /// <param name="water">A solved speciation.</param>
    public static double Alkalinity(Speciation water) => 0.5 * CalciumCarbonate * water.Alkalinity;

    /// <summary>Dissolved carbon dioxide [mg/L].</summary>
    /// <param name="water">A solved speciation.</param>
    public static double DissolvedCarbonDioxide(Speciation water) => CarbonDioxide * water.CarbonDioxide;

    /// <summary>
    /// Balance of an analysis [%]: cations less anions over their sum, in equivalents, alkalinity counted as an anion (Standard
    /// Methods 1030 E, key <c>standardmethods</c>). 0 for a water without ions.
    /// </summary>
    /// <param name="water">A solved speciation.</param>
    public static double ChargeBalance(Speciation water)
    {
        double cations = 0;
        double anions = Math.Max(0, water.Alkalinity);
        cations += Math.Max(0, -water.Alkalinity);
        for (int c = 0; c < IonCatalog.ComponentCount; c++)
        {
            var component = (Component)c;
            if (component is Component.InorganicCarbon or Component.Silica or Component.Phosphate)
            {
                continue;
            }

            int z = IonCatalog.Of(IonCatalog.Master(component)).Charge;
            cations += Math.Max(0, z) * water.Totals[c];
            anions += Math.Max(0, -z) * water.Totals[c];
        }

        anions += Total(water, Component.Phosphate); // as H2PO4-, since alkalinity counts the rest
        double sum = cations + anions;
        return sum > 0 ? 100 * (cations - anions) / sum : 0; // eq. water-38
    }

    /// <summary>
    /// pH at which the water would be saturated with calcite, after Standard Methods 2330 B: from total calcium, alkalinity
    /// taken as bicarbonate, and one activity coefficient by Davies [-]. NaN without calcium or alkalinity.
    /// </summary>
    /// <param name="water">A solved speciation.</param>
    public static double SaturationPH(Speciation water)
    {
        double calcium = Total(water, Component.Calcium) / 1000; // [mol/L]
        double bicarbonate = water.Alkalinity / 1000; // [eq/L]
        if (!(calcium > 0 && bicarbonate > 0))
        {
            return double.NaN;
        }

        double root = Math.Sqrt(water.IonicStrength);
        double pfm = DebyeHuckel.A(water.TemperatureKelvin) * (root / (1 + root) - 0.3 * water.IonicStrength);
        return -Equilibria.LogK(Reaction.Bicarbonate, water.TemperatureKelvin)
            + Equilibria.LogK(Reaction.Calcite, water.TemperatureKelvin)
            - Math.Log10(calcium)
            - Math.Log10(bicarbonate)
            + 5 * pfm; // eq. water-39
    }

    /// <summary>Langelier index, pH less saturation pH [-].</summary>
    /// <param name="water">A solved speciation.</param>
    public static double Langelier(Speciation water) => water.PH - SaturationPH(water); // eq. water-40

    /// <summary>Ryznar index, twice the saturation pH less pH [-].</summary>
    /// <param name="water">A solved speciation.</param>
    public static double Ryznar(Speciation water) => 2 * SaturationPH(water) - water.PH; // eq. water-41

    /// <summary>
    /// Calcium carbonate precipitation potential [mol/m³]: the calcite that falls out (positive) or dissolves (negative) until
    /// the closed water is saturated at its temperature. 0 with a status other than solved when none can be found.
    /// </summary>
    /// <param name="water">A solved speciation.</param>
    /// <param name="solver">Solves for the water on its way.</param>
    /// <param name="atEquilibrium">Receives the species at saturation and the status.</param>
    public static double CalcitePotential(Speciation water, SpeciationSolver solver, Speciation atEquilibrium)
    {
        Span<double> totals = stackalloc double[IonCatalog.ComponentCount];
        double high = Math.Min(Total(water, Component.Calcium), water.TotalCarbon);
        double low = 0;
        double reach = 0.01;
        while (!(SaturationAfter(low, water, solver, totals, atEquilibrium) >= 0))
        {
            if (atEquilibrium.Status != SpeciationStatus.Solved || low < -GreatestDissolution)
            {
                atEquilibrium.Status = SpeciationStatus.NotConverged;
                return 0;
            }

            high = low;
            low -= reach;
            reach *= 4;
        }

        // The index falls strictly as calcite leaves, so halving the bracket cannot miss.
        for (int i = 0; i < 50 && high - low > 1e-12 * (1 + Math.Abs(low)); i++)
        {
            double middle = 0.5 * (low + high);
            if (SaturationAfter(middle, water, solver, totals, atEquilibrium) >= 0)
            {
                low = middle;
            }
            else
            {
                high = middle;
            }
        }

        SaturationAfter(low, water, solver, totals, atEquilibrium);
        return low; // eq. water-42
    }

    /// <summary>Sum of everything dissolved, as analyses state it [mg/L]: ions, bicarbonate as such, silica as SiO2; no gas.</summary>
    /// <param name="water">A solved speciation.</param>
    public static double SumOfSolids(Speciation water) =>
        Salts(water) + Bicarbonate * Math.Max(0, water.Alkalinity); // eq. water-43

    /// <summary>
    /// Residue that drying at 180 °C leaves [mg/L]: as the sum, but bicarbonate has become carbonate (half its moles), silica
    /// stays, and no water of crystallisation is counted (gypsum loses its own below 180 °C).
    /// </summary>
    /// <param name="water">A solved speciation.</param>
    public static double Residue(Speciation water) =>
        Salts(water) + 0.5 * Carbonate * Math.Max(0, water.Alkalinity); // eq. water-44

    private static double Salts(Speciation water)
    {
        double sum = 0;
        for (int c = 0; c < IonCatalog.ComponentCount; c++)
        {
            if (c != (int)Component.InorganicCarbon)
            {
                sum += 1000 * IonCatalog.MolarMass((Component)c) * water.Totals[c];
            }
        }

        return sum;
    }

    private static double Total(Speciation water, Component component) => water.Totals[(int)component];

    private static double SaturationAfter(
        double precipitated,
        Speciation water,
        SpeciationSolver solver,
        Span<double> totals,
        Speciation result
    )
    {
        water.Totals.CopyTo(totals);
        totals[(int)Component.Calcium] = Math.Max(0, totals[(int)Component.Calcium] - precipitated);
        double carbon = Math.Max(0, water.TotalCarbon - precipitated);
        var target = SpeciationTarget.ChargeAndTotalCarbon(water.NetCharge, carbon);
        return solver.Solve(totals, water.TemperatureKelvin, target, result) == SpeciationStatus.Solved
            ? result.SaturationIndex(Reaction.Calcite)
            : double.NaN;
    }
}
