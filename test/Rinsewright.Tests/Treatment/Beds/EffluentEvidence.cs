using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>What a meter and a pH strip see of typical effluents, against an ideal calculation.</summary>
public sealed class EffluentEvidence : IEvidenceSet
{
    private const double PureWater_uS_cm = 0.1;

    public IEnumerable<EvidenceRow> Rows()
    {
        List<Comparison> found =
        [
            .. DataTable.Read("data/published/exchange-theory/effluents.csv").Rows.Select(Compare),
        ];
        List<Comparison> salts = [.. found.Where(f => f.Conductivity >= PureWater_uS_cm)];
        yield return Row(
            "pH of effluents, the bed's own balance",
            found.Select(f => f.IdealPHMiss),
            0.01,
            "pH"
        );
        yield return Row(
            "pH of effluents as reported",
            found.Where(f => !f.Hard).Select(f => f.PHMiss),
            0.035,
            "pH",
            "that calculation leaves activities out, which move bicarbonate of 1 mmol/L by 0.03"
        );
        yield return Row(
            "pH of calcium bicarbonate as reported",
            found.Where(f => f.Hard).Select(f => f.PHMiss),
            0.13,
            "pH",
            "that calculation leaves out the calcium carbonate pair and activities"
        );
        yield return Row(
            "conductivity of effluents",
            salts.Where(f => !f.Hard).Select(f => 100 * f.Miss / f.Conductivity),
            3.5,
            "%",
            "that calculation takes limiting conductivities; 1 mmol/L of a salt lies 2 to 3 % below them"
        );
        yield return Row(
            "conductivity of calcium bicarbonate",
            salts.Where(f => f.Hard).Select(f => 100 * f.Miss / f.Conductivity),
            7,
            "%",
            "limiting conductivities and no pairs there; calcium loses more to both"
        );
        yield return Row(
            "conductivity of pure water and silicic acid",
            found.Where(f => f.Conductivity < PureWater_uS_cm).Select(f => f.Miss),
            0.002,
            "µS/cm"
        );
    }

    private static Comparison Compare(DataTable.Row row)
    {
        var totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Sodium] = 1e3 * row.Number("Na_eq_L");
        totals[(int)Component.Calcium] = 0.5e3 * row.Number("Ca_eq_L");
        totals[(int)Component.Chloride] = 1e3 * row.Number("Cl_eq_L");
        totals[(int)Component.InorganicCarbon] = 1e3 * row.Number("C_mol_L");
        totals[(int)Component.Silica] = 1e3 * row.Number("Si_mol_L");
        var water = new WaterComposition(totals, 0, 298.15);
        var solver = new SpeciationSolver();
        var species = new Speciation();
        Assert.Equal(SpeciationStatus.Solved, solver.Solve(water, water.Closed, species));
        double conductivity = 1e4 * Conductance.SpecificConductance(species, solver, new Speciation());
        double reference = row.Number("conductivity_uS_cm");
        return new Comparison(
            totals[(int)Component.Calcium] > 0,
            Math.Abs(IdealPH(totals) - row.Number("pH")),
            Math.Abs(species.PH - row.Number("pH")),
            reference,
            Math.Abs(conductivity - reference)
        );
    }

    private static double IdealPH(double[] totals)
    {
        BedIons ions = BedIons.Of([ReferenceCase.Bed], totals);
        BedCoefficients k = BedCoefficients.Create(
            ReferenceCase.Bed,
            ions,
            BedGrid.Create(),
            1e-4,
            BedConstants.At(298.15),
            totals,
            1
        );
        double hydrogen = BulkAcidity.Solve(k, [.. ions.Components.Select(c => totals[(int)c])], 1e-4);
        return 3 - Math.Log10(hydrogen);
    }

    private static EvidenceRow Row(
        string quantity,
        IEnumerable<double> misses,
        double allowed,
        string unit,
        string remark = ""
    )
    {
        List<double> all = [.. misses];
        return new EvidenceRow(
            "exchange-bed",
            quantity,
            EvidenceKind.OtherCode,
            "computed",
            all.Count,
            all.Worst(),
            allowed,
            unit,
            remark
        );
    }

    private sealed record Comparison(
        bool Hard,
        double IdealPHMiss,
        double PHMiss,
        double Conductivity,
        double Miss
    );
}
