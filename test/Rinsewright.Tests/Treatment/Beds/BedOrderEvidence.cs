using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>
/// How fast the bed's error falls as depth and time are divided finer, on linear exchange through a film, whose solution
/// is known (<see cref="JFunction"/>), and what the bed keeps of its ions.
/// </summary>
public sealed class BedOrderEvidence : IEvidenceSet
{
    private const double Units = 20;
    private const double Asked = 2;

    public IEnumerable<EvidenceRow> Rows()
    {
        yield return Order("depth", n => Error(slices: n, step: 0.002), 10, 20, 40);
        yield return Order("time", n => Error(slices: 800, step: 0.3 / n), 10, 20, 40);
        yield return Balance();
    }

    private static EvidenceRow Order(string what, Func<int, double> error, params int[] divisions)
    {
        double[] errors = [.. divisions.Select(error)];
        double order = Math.Log2(errors[^2] / errors[^1]);
        return new EvidenceRow(
            "exchange-bed",
            $"order of the scheme in {what}, distance from 2",
            EvidenceKind.Order,
            "order",
            errors.Length,
            Math.Abs(Asked - order),
            0.2,
            "order",
            FormattableString.Invariant(
                $"errors {errors[0]:G2}, {errors[1]:G2}, {errors[2]:G2} of the feed at each halving"
            )
        );
    }

    /// <summary>Root mean square of the error over the curve.</summary>
    private static double Error(int slices, double step)
    {
        StandInBed bed = new([("in", 1, 1, 0), ("out", 1, 0, 1)], null)
        {
            FilmUnits = Units,
            Slices = slices,
            LongestStep = step,
            StepTolerance = 1e3,
        };
        EffluentCurve curve = bed.Run(1.8).Effluent;
        // At the ends of steps only, so that no interpolation counts.
        double[] misses =
        [
            .. Enumerable
                .Range(1, 6)
                .Select(i => 0.3 * i)
                .Select(t => bed.Fraction(curve, "in", t) - JFunction.Value(Units, Units * t)),
        ];
        return Math.Sqrt(misses.Average(m => m * m));
    }

    private static EvidenceRow Balance()
    {
        double[] errors = [.. ReferenceCase.All.Select(c => c.Usual.BalanceError)];
        return new EvidenceRow(
            "exchange-bed",
            "equivalents taken from the water less those on the resins, over a whole life",
            EvidenceKind.Identity,
            "identity",
            errors.Length,
            errors.Worst(),
            1e-9,
            "of all equivalents handled"
        );
    }
}
