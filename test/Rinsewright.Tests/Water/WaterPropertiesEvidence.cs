using Rinsewright.Tests.Evidence;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

public sealed class WaterPropertiesEvidence : IEvidenceSet
{
    private const double Zero = PhysicalConstants.ZeroCelsius;

    public IEnumerable<EvidenceRow> Rows()
    {
        IReadOnlyList<DataTable.Row> water = DataTable.Read("data/published/iapws/liquid-water.csv").Rows;
        Func<double, double> milliPascal = t => 1000 * WaterProperties.Viscosity(t);
        yield return Check(water, "iapws-sr6-08", "density_kg_m3", WaterProperties.Density, 1e-7);
        yield return Check(water, "iapws-sr6-08", "viscosity_mPa_s", milliPascal, 1e-7);
        yield return Check(
            water,
            "iapws-sr6-08",
            "dielectric_constant",
            WaterProperties.DielectricConstant,
            1e-6
        );
        yield return Check(water, "iapws-r12-08", "density_kg_m3", WaterProperties.Density, 0.01);
        yield return Check(water, "iapws-r12-08", "viscosity_mPa_s", milliPascal, 0.02);
        yield return Check(
            water,
            "iapws-r12-08",
            "dielectric_constant",
            WaterProperties.DielectricConstant,
            0.1
        );
        yield return Check(water, "perry2018", "density_kg_m3", WaterProperties.Density, 0.01);
        yield return Check(water, "perry2018", "viscosity_mPa_s", milliPascal, 0.2);
        yield return KwRow(water);

        IReadOnlyList<DataTable.Row> carbonate = DataTable
            .Read("data/published/plummer1982/carbonate-constants.csv")
            .Rows;
        yield return Constants(carbonate, "pK1", Reaction.CarbonicAcid, -1);
        yield return Constants(carbonate, "pK2", Reaction.Bicarbonate, -1);
        yield return Constants(carbonate, "log10_KH_CO2", Reaction.CarbonDioxideGas, 1);
        yield return Constants(carbonate, "pKsp_calcite", Reaction.Calcite, -1);
        yield return Constants(carbonate, "pKsp_aragonite", Reaction.Aragonite, -1);

        IReadOnlyList<DataTable.Row> debye = DataTable.Read("data/published/llnl/debye-huckel.csv").Rows;
        yield return Relative("Debye-Hückel A", "llnl2000", debye, "A_kg_half_mol_half", DebyeHuckel.A, 0.8);
        yield return Relative(
            "Debye-Hückel B",
            "llnl2000",
            debye,
            "B_per_angstrom",
            t => DebyeHuckel.B(t) * 1e-10,
            0.3
        );
    }

    private static EvidenceRow Check(
        IReadOnlyList<DataTable.Row> rows,
        string source,
        string column,
        Func<double, double> model,
        double tolerancePercent
    ) =>
        Relative(
            column[..column.IndexOf('_', StringComparison.Ordinal)] + " of liquid water",
            source,
            [.. rows.Where(r => string.Equals(r.Text("source"), source, StringComparison.Ordinal))],
            column,
            model,
            tolerancePercent
        );

    private static EvidenceRow Relative(
        string quantity,
        string source,
        IReadOnlyList<DataTable.Row> rows,
        string column,
        Func<double, double> model,
        double tolerancePercent
    )
    {
        List<double> errors =
        [
            .. rows.Where(r => r.Has(column))
                .Select(r => Math.Abs(model(Zero + r.Number("temp_C")) / r.Number(column) - 1) * 100),
        ];
        return new EvidenceRow(
            "water",
            quantity,
            EvidenceKind.Published,
            source,
            errors.Count,
            errors.Worst(),
            tolerancePercent,
            "%"
        );
    }

    private static EvidenceRow KwRow(IReadOnlyList<DataTable.Row> rows)
    {
        List<double> errors =
        [
            .. rows.Where(r => r.Has("pKw"))
                .Select(r =>
                    Math.Abs(WaterProperties.LogIonisation(Zero + r.Number("temp_C")) + r.Number("pKw"))
                ),
        ];
        return new EvidenceRow(
            "water",
            "pKw",
            EvidenceKind.Published,
            "iapws-r11-07",
            errors.Count,
            errors.Worst(),
            0.002,
            "pK"
        );
    }

    private static EvidenceRow Constants(
        IReadOnlyList<DataTable.Row> rows,
        string column,
        Reaction reaction,
        int sign
    ) =>
        new(
            "water",
            column,
            EvidenceKind.Published,
            "plummer1982",
            rows.Count,
            rows.Worst(r =>
                Math.Abs(sign * Equilibria.LogK(reaction, Zero + r.Number("temp_C")) - r.Number(column))
            ),
            1e-4,
            "log10 K",
            "copying and arithmetic"
        );
}
