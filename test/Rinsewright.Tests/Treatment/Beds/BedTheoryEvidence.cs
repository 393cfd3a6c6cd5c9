using System.Globalization;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>The bed in the limits in which one ion displaces one other at a constant separation factor.</summary>
public sealed class BedTheoryEvidence : IEvidenceSet
{
    private const string Folder = "data/published/exchange-theory";

    public IEnumerable<EvidenceRow> Rows()
    {
        IReadOnlyList<DataTable.Row> j = DataTable.Read($"{Folder}/j-function.csv").Rows;
        yield return new EvidenceRow(
            "exchange-bed",
            "J function of the test's oracle",
            EvidenceKind.OtherCode,
            "thomas1944",
            j.Count,
            j.Worst(r => Math.Abs(JFunction.Value(r.Number("a"), r.Number("b")) - r.Number("J"))),
            1e-12,
            "absolute"
        );
        IReadOnlyList<DataTable.Row> thomas = DataTable.Read($"{Folder}/thomas.csv").Rows;
        yield return new EvidenceRow(
            "exchange-bed",
            "Thomas's curves of the test's oracle",
            EvidenceKind.OtherCode,
            "hiester1952",
            thomas.Count,
            thomas.Worst(r =>
                Math.Abs(JFunction.Thomas(r.Number("r"), r.Number("N"), r.Number("T")) - r.Number("x"))
            ),
            1e-9,
            "absolute"
        );
        foreach (double units in (double[])[5, 20, 50])
        {
            yield return Linear("film alone", units, Pair(1) with { FilmUnits = units });
        }

        yield return Linear("half film, half bead", 20, Pair(1) with { FilmUnits = 40, BeadUnits = 40 });
        IReadOnlyList<DataTable.Row> curves = DataTable.Read($"{Folder}/breakthrough.csv").Rows;
        foreach (
            IGrouping<(string, double, double), DataTable.Row> curve in curves.GroupBy(r =>
                (r.Text("mechanism"), r.Number("r"), r.Number("N"))
            )
        )
        {
            yield return Breakthrough(curve.Key, [.. curve]);
        }

        foreach (double r in (double[])[0.2, 0.5])
        {
            yield return TwoResistances(r, 60);
        }
    }

    private static StandInBed Pair(double r) => new([("in", 1 / r, 1, 0), ("out", 1, 0, 1)], null);

    private static EvidenceRow Linear(string resistance, double units, StandInBed bed)
    {
        double[] throughput = [.. Enumerable.Range(1, 60).Select(i => i / 20.0)];
        EffluentCurve curve = bed.Run(3).Effluent;
        return new EvidenceRow(
            "exchange-bed",
            $"linear exchange, {resistance}, {units.ToString(CultureInfo.InvariantCulture)} transfer units",
            EvidenceKind.Published,
            "thomas1944",
            throughput.Length,
            throughput.Worst(t => Math.Abs(bed.Fraction(curve, "in", t) - JFunction.Value(units, units * t))),
            0.01,
            "of the feed"
        );
    }

    private static EvidenceRow Breakthrough(
        (string Mechanism, double R, double N) key,
        IReadOnlyList<DataTable.Row> rows
    )
    {
        bool film = string.Equals(key.Mechanism, "film", StringComparison.Ordinal);
        StandInBed pair = Pair(key.R) with
        {
            FilmUnits = film ? key.N : double.PositiveInfinity,
            BeadUnits = film ? double.PositiveInfinity : key.N,
            Slices = film ? 0 : 1200,
        };
        EffluentCurve curve = pair.Run(rows.Max(r => r.Number("T")) + 0.01).Effluent;
        return new EvidenceRow(
            "exchange-bed",
            FormattableString.Invariant(
                $"{key.Mechanism} alone, separation factor {key.R}, {key.N} transfer units"
            ),
            EvidenceKind.OtherCode,
            "glueckauf1947",
            rows.Count,
            rows.Worst(r => Math.Abs(pair.Fraction(curve, "in", r.Number("T")) - r.Number("x"))),
            0.01,
            "of the feed",
            film ? "" : "1 200 slices, which leave the film a twentieth of the resistance or less"
        );
    }

    /// <summary>
    /// The front that film and bead give together far from the inlet, where its shape no longer changes: water and
    /// resin then have the same fraction at every depth, and ∫ ds over the front is zero.
    /// </summary>
    private static EvidenceRow TwoResistances(double r, double unitsOfEach)
    {
        const int Points = 4000;
        var shift = new double[Points];
        for (int i = 1; i < Points; i++)
        {
            double x = (i - 0.5) / Points;
            shift[i] = shift[i - 1] + (1.0 / Points / Rate(x));
        }

        double centre = shift.Average();
        StandInBed bed = Pair(r) with { FilmUnits = unitsOfEach, BeadUnits = unitsOfEach };
        EffluentCurve curve = bed.Run(1.6).Effluent;
        List<double> misses =
        [
            .. Enumerable
                .Range(1, 19)
                .Select(i =>
                {
                    double x = i / 20.0;
                    double throughput = 1 + ((shift[(int)(x * Points)] - centre) / unitsOfEach);
                    return Math.Abs(bed.Fraction(curve, "in", throughput) - x);
                }),
        ];
        return new EvidenceRow(
            "exchange-bed",
            FormattableString.Invariant(
                $"constant pattern, film and bead alike, separation factor {r}, {unitsOfEach} transfer units each"
            ),
            EvidenceKind.Identity,
            "identity",
            misses.Count,
            misses.Worst(),
            0.01,
            "of the feed"
        );

        // Rate at which both resistances agree: x − x*(s) = s − x at the surface fraction s.
        double Rate(double x)
        {
            double low = x;
            double high = 1;
            for (int n = 0; n < 60; n++)
            {
                double s = (low + high) / 2;
                bool filmIsFaster = x - (r * s / (1 - s + (r * s))) > s - x;
                (low, high) = filmIsFaster ? (s, high) : (low, s);
            }

            return low - x;
        }
    }
}
