using Rinsewright.Tests.Evidence;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

/// <summary>The waters of data/reference-codes/phreeqc/speciation.csv and how they are entered.</summary>
internal static class ReferenceWaters
{
    public static IReadOnlyList<DataTable.Row> Rows { get; } =
        DataTable.Read("data/reference-codes/phreeqc/speciation.csv").Rows;

    public static double Kelvin(DataTable.Row row) => PhysicalConstants.ZeroCelsius + row.Number("in_T_C");

    public static double[] Totals(DataTable.Row row)
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        Set(Component.Calcium, "in_Ca_mgL", 40.08);
        Set(Component.Magnesium, "in_Mg_mgL", 24.312);
        Set(Component.Sodium, "in_Na_mgL", 22.9898);
        Set(Component.Potassium, "in_K_mgL", 39.102);
        Set(Component.Chloride, "in_Cl_mgL", 35.453);
        Set(Component.Sulfate, "in_SO4_mgL", 96.064);
        Set(Component.Nitrate, "in_NO3_mgL", 62.0067);
        Set(Component.Fluoride, "in_F_mgL", 18.9984);
        Set(Component.Silica, "in_SiO2_mgL", 60.0843);
        return totals;

        void Set(Component component, string column, double gramsPerMole) =>
            totals[(int)component] = row.Number(column) / gramsPerMole;
    }

    public static SpeciationTarget Target(DataTable.Row row)
    {
        if (string.Equals(row.Text("mode"), "charge_co2", StringComparison.Ordinal))
        {
            return SpeciationTarget.ChargeAndCarbonDioxide(0, row.Number("in_log_pCO2"));
        }

        double gramsPerEquivalent = string.Equals(row.Text("in_alk_as"), "HCO3", StringComparison.Ordinal)
            ? 61.017
            : 50.04;
        double alkalinity = row.Number("in_alk_mgL") / gramsPerEquivalent;
        return row.Text("mode") switch
        {
            "alk" => SpeciationTarget.PHAndAlkalinity(row.Number("in_pH"), alkalinity),
            "alk_co2" => SpeciationTarget.AlkalinityAndCarbonDioxide(alkalinity, row.Number("in_log_pCO2")),
            string other => throw new InvalidOperationException(other),
        };
    }

    public static Speciation Solve(DataTable.Row row, ActivityModel model = ActivityModel.TruesdellJones)
    {
        var result = new Speciation();
        SpeciationStatus status = new SpeciationSolver(model).Solve(
            Totals(row),
            Kelvin(row),
            Target(row),
            result
        );
        Assert.Equal(SpeciationStatus.Solved, status);
        return result;
    }
}

/// <summary>One of them, its species as they are, at 25 °C and once calcite is in balance.</summary>
internal sealed class ReferenceWater
{
    public ReferenceWater(DataTable.Row row)
    {
        Row = row;
        Species = ReferenceWaters.Solve(row);
        var solver = new SpeciationSolver();
        Conductance.SpecificConductance(Species, solver, At25);
        CalcitePotential = WaterIndices.CalcitePotential(Species, solver, AtCalcite);
        Assert.Equal(SpeciationStatus.Solved, At25.Status);
        Assert.Equal(SpeciationStatus.Solved, AtCalcite.Status);
    }

    public DataTable.Row Row { get; }

    public Speciation Species { get; }

    public Speciation At25 { get; } = new();

    public Speciation AtCalcite { get; } = new();

    public double CalcitePotential { get; }

    public bool IsMild => Row.Number("in_T_C") is > 5 and < 35;

    public bool Is(string[] cases) => cases.Contains(Row.Text("case"), StringComparer.Ordinal);
}
