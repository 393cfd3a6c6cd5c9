using Rinsewright.Tests.Evidence;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

/// <summary>
/// The reference waters against everything that code computes for them: its databases and versions differ by more than one of
/// them allows, so what is asked here is to stay within, or next to, what they span.
/// </summary>
public sealed class SpeciationSpreadEvidence : IEvidenceSet
{
    private static readonly ILookup<string, DataTable.Row> Others = DataTable
        .Read("data/reference-codes/phreeqc/speciation-spread.csv")
        .Rows.ToLookup(r => r.Text("case"), StringComparer.Ordinal);

    private static readonly string[] Gypsum = ["W12"];

    public IEnumerable<EvidenceRow> Rows()
    {
        List<ReferenceWater> waters = [.. ReferenceWaters.Rows.Select(r => new ReferenceWater(r))];
        yield return Row(
            "SI calcite",
            waters,
            "SI_calcite",
            w => w.Species.SaturationIndex(Reaction.Calcite),
            _ => 0.03,
            "0.03"
        );
        yield return Row(
            "SI gypsum",
            waters,
            "SI_gypsum",
            w => w.Species.SaturationIndex(Reaction.Gypsum),
            _ => 0.05,
            "0.05"
        );
        yield return Row(
            "ionic strength",
            waters,
            "ionic_strength_molkgw",
            w => w.Species.IonicStrength,
            v => 0.01 * v,
            "1 %"
        );
        yield return Row(
            "carbon dioxide",
            waters,
            "m_CO2aq",
            w => w.Species.Molalities[(int)Species.CarbonDioxide],
            v => 0.02 * v,
            "2 %"
        );
        yield return Row(
            "calcium carbonate precipitation potential",
            waters,
            "CCPP_mmol_per_L",
            w => w.CalcitePotential,
            v => Math.Max(0.01, 0.02 * Math.Abs(v)),
            "2 % or 0.01 mmol/L"
        );
        Func<ReferenceWater, double> atT = w => Conductance.Conductivity(w.Species) * 1e4;
        Func<ReferenceWater, double> at25 = w => Conductance.Conductivity(w.At25) * 1e4;
        List<ReferenceWater> others = [.. waters.Where(w => !w.Is(Gypsum))];
        List<ReferenceWater> gypsum = [.. waters.Where(w => w.Is(Gypsum))];
        yield return Row(
            "conductivity at T, all but W12",
            others,
            "SC_at_T_uS_cm",
            atT,
            v => 0.02 * v,
            "2 %"
        );
        yield return Row(
            "conductivity at 25 °C, all but W12",
            others,
            "SC_25C_uS_cm",
            at25,
            v => 0.02 * v,
            "2 %"
        );
        yield return Row("conductivity at T, W12", gypsum, "SC_at_T_uS_cm", atT, v => 0.05 * v, "5 %", 1.2);
        yield return Row(
            "conductivity at 25 °C, W12",
            gypsum,
            "SC_25C_uS_cm",
            at25,
            v => 0.05 * v,
            "5 %",
            1.2
        );
    }

    private static EvidenceRow Row(
        string quantity,
        List<ReferenceWater> waters,
        string column,
        Func<ReferenceWater, double> model,
        Func<double, double> tolerance,
        string asked,
        double allowed = 1
    )
    {
        List<double> outside =
        [
            .. waters
                .Where(w => w.Row.Has(column))
                .Select(water =>
                {
                    double found = model(water);
                    List<double> theirs =
                    [
                        .. Others[water.Row.Text("case")]
                            .Append(water.Row)
                            .Where(r => r.Has(column))
                            .Select(r => r.Number(column)),
                    ];
                    double nearest = Math.Clamp(found, theirs.Min(), theirs.Max());
                    return Math.Abs(found - nearest) / tolerance(nearest);
                }),
        ];
        return new(
            "water",
            $"{quantity}, distance from what that code's databases and versions span",
            EvidenceKind.OtherCode,
            "parkhurst2013",
            outside.Count,
            outside.Worst(),
            allowed,
            $"of {asked}",
            $"{outside.Count(o => o <= 0)} of {outside.Count} within"
        );
    }
}
