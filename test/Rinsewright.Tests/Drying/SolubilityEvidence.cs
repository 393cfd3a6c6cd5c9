using Rinsewright.Drying;
using Rinsewright.Tests.Evidence;
using Rinsewright.Water;

namespace Rinsewright.Tests.Drying;

/// <summary>What dissolves and what falls out of simple waters, against measured points.</summary>
public sealed class SolubilityEvidence : IEvidenceSet
{
    private const double OneBar = -0.0057; // log10 of a bar in atm

    public IEnumerable<EvidenceRow> Rows()
    {
        yield return Solubility(
            "solubility of gypsum in pure water, 0.5 to 40 degC",
            "data/published/solubility/gypsum.csv",
            "marshall1966",
            row => Dissolved(row, 60, Component.Sulfate, SourceWater.AirCarbonDioxide) / 1000,
            "solubility_mol_kg",
            2,
            "the constant of the ion pair was chosen by these points, within its published uncertainty; the enthalpies were not"
        );
        yield return Solubility(
            "calcium over calcite under 1 bar of carbon dioxide, 0 to 35 degC",
            "data/published/solubility/calcite-under-carbon-dioxide.csv",
            "parkhurst2013",
            row => Dissolved(row, 30, null, OneBar),
            "calcium_mmol_kg",
            5,
            "the scatter stated with the points, of which those of one temperature are averaged; that code's file of literature data"
        );
        yield return Seawater();
        yield return Springs();
    }

    /// <summary>Calcium left of an ample start [mmol/kg], with as much of an anion or with the alkalinity of carbonate.</summary>
    private static double Dissolved(DataTable.Row row, double start, Component? anion, double logPressure)
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Calcium] = start;
        if (anion is { } partner)
        {
            totals[(int)partner] = start;
        }

        double kelvin = row.Number("T_C") + PhysicalConstants.ZeroCelsius;
        var path = new DryDownPath(new WaterComposition(totals, 0, kelvin), logPressure);
        Assert.True(path.MoveTo(1));
        return path.Dissolved(Component.Calcium) / WaterProperties.Density(kelvin) * 1000;
    }

    private static EvidenceRow Solubility(
        string what,
        string file,
        string source,
        Func<DataTable.Row, double> found,
        string column,
        double tolerance,
        string remark
    )
    {
        IReadOnlyList<DataTable.Row> rows = DataTable.Read(file).Rows;
        double worst = rows.GroupBy(r => r.Number("T_C"))
            .Worst(points => Math.Abs((found(points.First()) / points.Average(r => r.Number(column))) - 1));
        return new(
            "drying",
            what,
            EvidenceKind.Published,
            source,
            rows.Count,
            100 * worst,
            tolerance,
            "%",
            remark
        );
    }

    private static EvidenceRow Seawater()
    {
        DataTable.Row row = DataTable.Read("data/reference-codes/phreeqc-evaporation/seawater.csv").Rows[0];
        double[] totals = new double[IonCatalog.ComponentCount];
        (Component, double)[] amounts =
        [
            (Component.Sodium, 485),
            (Component.Potassium, 10.6),
            (Component.Magnesium, 55.1),
            (Component.Calcium, 10.7),
            (Component.Chloride, 566),
            (Component.Sulfate, 29.3),
        ];
        double charge = -2.4; // alkalinity [meq/kg]
        foreach ((Component component, double amount) in amounts)
        {
            totals[(int)component] = amount * 0.997;
            charge += IonCatalog.Of(IonCatalog.Master(component)).Charge * amount;
        }

        var path = new DryDownPath(new WaterComposition(totals, charge * 0.997, 298.15), -3.5);
        Assert.True(path.MoveTo(row.Number("CF")));
        double found = path.Precipitated[0] / 0.997;
        return new(
            "drying",
            "calcite that seawater lays down in air, before it dries",
            EvidenceKind.OtherCode,
            "parkhurst2013",
            1,
            100 * Math.Abs((found / row.Number("ppt_Calcite_mmol_per_kg")) - 1),
            10,
            "%",
            "ionic strength 0.72 mol/kg, near the cut-off; that code's Pitzer model"
        );
    }

    /// <summary>Springs of the Sierra Nevada end as alkaline sodium carbonate brines, calcite and silica behind them.</summary>
    private static EvidenceRow Springs()
    {
        IReadOnlyList<DataTable.Row> rows = DataTable
            .Read("data/published/solubility/spring-waters.csv")
            .Rows;
        int astray = rows.Count(row =>
        {
            DryDown dried = DryDown.Of(Spring(row));
            bool both =
                Onset(dried, ResidueSolid.Calcite) is not null
                && Onset(dried, ResidueSolid.Silica) is not null;
            bool noGypsum = Onset(dried, ResidueSolid.Gypsum) is null;
            bool soda = dried.Residue.Any(r => r.Solid.Key is "soda");
            return !(both && noGypsum && soda && dried.Path[^1].PH > 9);
        });
        return new(
            "drying",
            "springs that do not end as alkaline sodium carbonate brines over calcite and silica",
            EvidenceKind.Published,
            "garrels1967",
            rows.Count,
            astray,
            0,
            "waters",
            "the paper's course from memory; its magnesium silicate is left out as too slow"
        );
    }

    private static double? Onset(DryDown dried, ResidueSolid solid) =>
        dried.Residue.FirstOrDefault(r => r.Solid == solid)?.OnsetFactor;

    private static WaterComposition Spring(DataTable.Row row)
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        double charge = -row.Number("alkalinity");
        (Component, string)[] columns =
        [
            (Component.Calcium, "Ca"),
            (Component.Magnesium, "Mg"),
            (Component.Sodium, "Na"),
            (Component.Potassium, "K"),
            (Component.Sulfate, "SO4"),
            (Component.Chloride, "Cl"),
        ];
        foreach ((Component component, string column) in columns)
        {
            totals[(int)component] = row.Number(column);
            charge += IonCatalog.Of(IonCatalog.Master(component)).Charge * row.Number(column);
        }

        totals[(int)Component.Silica] = row.Number("SiO2");
        return new WaterComposition(totals, charge, 298.15);
    }
}
