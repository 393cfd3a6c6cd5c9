using Rinsewright.Water;

namespace Rinsewright.Drying;

/// <summary>
/// The brine of a drying water, open to the air, in equilibrium with calcite, gypsum and amorphous silica at any concentration
/// factor: each solid is present at saturation or absent below it (equations drying-32 to drying-35). Solids may dissolve
/// again. Holds its working arrays: one per thread.
/// </summary>
/// <remarks>
/// Amounts precipitated are found by Newton's method with Broyden's updates on the roots of the saturation ratios, which are
/// nearly straight in the amounts; the Jacobian is carried from one concentration factor to the next, since it grows in
/// proportion to it.
/// </remarks>
internal sealed class DryDownPath
{
    public const int SolidCount = 3;

    private const double Ln10 = 2.302585092994046;
    private const double Tolerance = 1e-6;

    private static readonly Reaction[] Reactions =
    [
        Reaction.Calcite,
        Reaction.Gypsum,
        Reaction.AmorphousSilica,
    ];

    // The saturation ratio to this power is nearly straight in the amount: calcite takes one calcium and two of alkalinity.
    private static readonly double[] Power = [1.0 / 3, 0.5, 1];

    private readonly SpeciationSolver _solver = new() { StartsFromLast = true };
    private readonly Speciation _speciation = new();
    private readonly WaterComposition _feed;
    private readonly double _logPressure;
    private readonly double _alkalinity; // strong cations less strong anions of the feed [eq/m³]
    private readonly double[] _totals = new double[IonCatalog.ComponentCount];
    private readonly double[] _precipitated = new double[SolidCount];
    private readonly double[] _kept = new double[SolidCount];
    private readonly bool[] _present = new bool[SolidCount];
    private readonly double[,] _slope = new double[SolidCount, SolidCount];
    private readonly double[] _excess = new double[SolidCount];
    private readonly double[] _trial = new double[SolidCount];
    private double _slopeFactor;
    private bool _fresh;

    /// <summary>A path from a feed water.</summary>
    /// <param name="feed">The water before it dries.</param>
    /// <param name="logPressure">log10 of the partial pressure of carbon dioxide in atm [-].</param>
    public DryDownPath(WaterComposition feed, double logPressure)
    {
        _feed = feed;
        _logPressure = logPressure;
        _alkalinity = -feed.ChargeResidual;
        for (int c = 0; c < IonCatalog.ComponentCount; c++)
        {
            var component = (Component)c;
            if (component is not (Component.InorganicCarbon or Component.Silica))
            {
                _alkalinity += IonCatalog.Of(IonCatalog.Master(component)).Charge * feed[component];
            }
        }
    }

    /// <summary>Amounts precipitated of calcite, gypsum and silica [mol/m³ of feed].</summary>
    public ReadOnlySpan<double> Precipitated => _precipitated;

    /// <summary>The brine at the last factor.</summary>
    public Speciation Brine => _speciation;

    /// <summary>Speciations solved so far [-].</summary>
    public int Solved { get; private set; }

    /// <summary>Saturation index of a solid in the last brine [-]; minus infinity when an ion is absent.</summary>
    /// <param name="solid">Index of the solid [-].</param>
    public double SaturationIndex(int solid) => _speciation.SaturationIndex(Reactions[solid]);

    /// <summary>Amount left in solution of a component [mol/m³ of feed].</summary>
    /// <param name="component">Which.</param>
    public double Dissolved(Component component) => Math.Max(0, Left(component, _precipitated));

    /// <summary>Remembers the solids of now, to <see cref="Return"/> to.</summary>
    public void Keep() => _precipitated.CopyTo(_kept, 0);

    /// <summary>Goes back to the solids last kept; the brine is that of no factor until the next move.</summary>
    public void Return()
    {
        _kept.CopyTo(_precipitated, 0);
        for (int s = 0; s < SolidCount; s++)
        {
            _present[s] = _kept[s] > 0;
        }

        _slopeFactor = 0;
    }

    /// <summary>Brings the brine to a concentration factor; false when it cannot be solved.</summary>
    /// <param name="factor">Volume of feed over volume left [-].</param>
    public bool MoveTo(double factor)
    {
        for (int change = 0; change < 12; change++)
        {
            if (!Balance(factor))
            {
                return false;
            }

            int next = -1;
            double highest = 1e-7;
            for (int s = 0; s < SolidCount; s++)
            {
                if (!_present[s] && SaturationIndex(s) > highest)
                {
                    highest = SaturationIndex(s);
                    next = s;
                }
            }

            if (next < 0)
            {
                return true; // eq. drying-34
            }

            _present[next] = true;
            _slopeFactor = 0;
        }

        return false;
    }

    private bool Balance(double factor)
    {
        if (!Evaluate(factor, _precipitated))
        {
            return false;
        }

        double norm = Norm(_excess);
        if (norm <= Tolerance)
        {
            return true;
        }

        ScaleSlope(factor);
        Span<double> step = stackalloc double[SolidCount];
        Span<double> before = stackalloc double[SolidCount];
        for (int iteration = 0; iteration < 60; iteration++)
        {
            if (_slopeFactor == 0 && !MeasureSlope(factor))
            {
                return false;
            }

            SolveStep(step);
            if (Absent(step))
            {
                _slopeFactor = 0;
                if (!Evaluate(factor, _precipitated))
                {
                    return false;
                }

                norm = Norm(_excess);
                if (norm <= Tolerance)
                {
                    return true;
                }

                continue;
            }

            double length = Admissible(step);
            _excess.CopyTo(before);
            bool better = false;
            for (int halving = 0; halving < 12 && !better; halving++)
            {
                for (int s = 0; s < SolidCount; s++)
                {
                    _trial[s] = _precipitated[s] + (length * step[s]);
                }

                better = Evaluate(factor, _trial) && Norm(_excess) < norm;
                length *= better ? 1 : 0.4;
            }

            if (!better)
            {
                if (_fresh)
                {
                    return false;
                }

                before.CopyTo(_excess);
                _slopeFactor = 0;
                continue;
            }

            double now = Norm(_excess);
            bool slow = now > 0.5 * norm;
            norm = now;
            UpdateSlope(before, step, length);
            _trial.CopyTo(_precipitated, 0);
            if (norm <= Tolerance)
            {
                return true;
            }

            _slopeFactor = slow ? 0 : _slopeFactor;
        }

        return false;
    }

    /// <summary>Solids that the step takes below nothing dissolve wholly; true when there was one.</summary>
    private bool Absent(ReadOnlySpan<double> step)
    {
        bool any = false;
        for (int s = 0; s < SolidCount; s++)
        {
            if (_present[s] && _precipitated[s] + step[s] <= 0 && step[s] < 0)
            {
                _present[s] = false;
                _precipitated[s] = 0;
                any = true;
            }
        }

        return any;
    }

    /// <summary>Share of a step that leaves at least a twentieth of each ion, and of the alkalinity, in solution.</summary>
    private double Admissible(ReadOnlySpan<double> step)
    {
        double length = 1;
        Limit(Left(Component.Calcium, _precipitated), step[0] + step[1]);
        Limit(Left(Component.Sulfate, _precipitated), step[1]);
        Limit(Left(Component.Silica, _precipitated), step[2]);
        Limit(_alkalinity - (2 * _precipitated[0]), 2 * step[0]);
        return length;

        void Limit(double left, double taken)
        {
            double most = 0.95 * left;
            if (taken > most)
            {
                length = Math.Min(length, most / taken);
            }
        }
    }

    private double Left(Component component, ReadOnlySpan<double> precipitated) =>
        component switch
        {
            Component.Calcium => _feed[component] - precipitated[0] - precipitated[1],
            Component.Sulfate => _feed[component] - precipitated[1],
            Component.Silica => _feed[component] - precipitated[2],
            _ => _feed[component],
        };

    /// <summary>Solves the brine; leaves the excess of each solid present, in powers of its saturation ratio less one.</summary>
    private bool Evaluate(double factor, ReadOnlySpan<double> precipitated)
    {
        for (int c = 0; c < _totals.Length; c++)
        {
            _totals[c] = factor * Math.Max(0, Left((Component)c, precipitated)); // eq. drying-32
        }

        Solved++;
        SpeciationStatus status = _solver.Solve(
            _totals,
            _feed.TemperatureKelvin,
            SpeciationTarget.ChargeAndCarbonDioxide(factor * _feed.ChargeResidual, _logPressure),
            _speciation
        );
        if (status != SpeciationStatus.Solved)
        {
            return false;
        }

        for (int s = 0; s < SolidCount; s++)
        {
            _excess[s] = _present[s] ? Math.Exp(Ln10 * Power[s] * SaturationIndex(s)) - 1 : 0; // eq. drying-33
        }

        return true;
    }

    private bool MeasureSlope(double factor)
    {
        Span<double> here = stackalloc double[SolidCount];
        _excess.CopyTo(here);
        for (int s = 0; s < SolidCount; s++)
        {
            for (int r = 0; r < SolidCount; r++)
            {
                _slope[r, s] = r == s ? -1 : 0;
            }

            if (!_present[s])
            {
                continue;
            }

            Component scarce =
                s == 2 || (s == 1 && _feed[Component.Sulfate] < _feed[Component.Calcium])
                    ? (s == 2 ? Component.Silica : Component.Sulfate)
                    : Component.Calcium;
            double nudge = 1e-5 * Left(scarce, _precipitated);
            _precipitated.CopyTo(_trial, 0);
            _trial[s] += nudge;
            if (!Evaluate(factor, _trial))
            {
                return false;
            }

            for (int r = 0; r < SolidCount; r++)
            {
                _slope[r, s] = _present[r] ? (_excess[r] - here[r]) / nudge : 0;
            }
        }

        here.CopyTo(_excess);
        _slopeFactor = factor;
        _fresh = true;
        return true;
    }

    private void ScaleSlope(double factor)
    {
        if (_slopeFactor == 0)
        {
            return;
        }

        for (int r = 0; r < SolidCount; r++)
        {
            for (int s = 0; s < SolidCount; s++)
            {
                _slope[r, s] *= _present[r] ? factor / _slopeFactor : 1;
            }
        }

        _slopeFactor = factor;
        _fresh = false;
    }

    /// <summary>Broyden's update with the step taken.</summary>
    private void UpdateSlope(ReadOnlySpan<double> before, ReadOnlySpan<double> step, double length)
    {
        double square = 0;
        foreach (double s in step)
        {
            square += length * s * length * s;
        }

        for (int r = 0; r < SolidCount; r++)
        {
            double predicted = before[r];
            for (int s = 0; s < SolidCount; s++)
            {
                predicted += _slope[r, s] * length * step[s];
            }

            for (int s = 0; s < SolidCount; s++)
            {
                _slope[r, s] += _present[r] ? (_excess[r] - predicted) * length * step[s] / square : 0;
            }
        }

        _fresh = false;
    }

    /// <summary>Newton step by Gaussian elimination with row exchange; zero for absent solids.</summary>
    private void SolveStep(Span<double> step)
    {
        Span<double> a = stackalloc double[SolidCount * (SolidCount + 1)];
        const int width = SolidCount + 1;
        for (int r = 0; r < SolidCount; r++)
        {
            for (int s = 0; s < SolidCount; s++)
            {
                a[(r * width) + s] = _present[r] && _present[s] ? _slope[r, s] : (r == s ? -1 : 0);
            }

            a[(r * width) + SolidCount] = _present[r] ? -_excess[r] : 0;
        }

        for (int p = 0; p < SolidCount; p++)
        {
            int best = p;
            for (int r = p + 1; r < SolidCount; r++)
            {
                best = Math.Abs(a[(r * width) + p]) > Math.Abs(a[(best * width) + p]) ? r : best;
            }

            for (int c = 0; c < width; c++)
            {
                (a[(p * width) + c], a[(best * width) + c]) = (a[(best * width) + c], a[(p * width) + c]);
            }

            for (int r = p + 1; r < SolidCount; r++)
            {
                double ratio = a[(r * width) + p] / a[(p * width) + p];
                for (int c = p; c < width; c++)
                {
                    a[(r * width) + c] -= ratio * a[(p * width) + c];
                }
            }
        }

        for (int r = SolidCount - 1; r >= 0; r--)
        {
            double sum = a[(r * width) + SolidCount];
            for (int c = r + 1; c < SolidCount; c++)
            {
                sum -= a[(r * width) + c] * step[c];
            }

            step[r] = sum / a[(r * width) + r];
        }
    }

    private static double Norm(ReadOnlySpan<double> excess)
    {
        double most = 0;
        foreach (double e in excess)
        {
            most = Math.Max(most, Math.Abs(e));
        }

        return most;
    }
}
