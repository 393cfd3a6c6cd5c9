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
internal sealed partial class DryDownPath
{
    public const int SolidCount = 3;

    private const int Kinds = 4; // of what stays in solution: calcium, sulfate, silica, alkalinity

    private const double Ln10 = Equilibria.Ln10;
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
    private readonly double _alkalinity; // of the feed down to H2PO4−: what calcite can take at most [eq/m³]
    private readonly double[] _totals = new double[IonCatalog.ComponentCount];
    private readonly double[] _precipitated = new double[SolidCount];
    private readonly double[] _kept = new double[SolidCount];
    private readonly bool[] _present = new bool[SolidCount];
    private readonly double[,] _slope = new double[SolidCount, SolidCount];
    private readonly double[] _excess = new double[SolidCount];
    private readonly double[] _trial = new double[SolidCount];
    private readonly bool[] _keptPresent = new bool[SolidCount];
    private readonly double[] _slopeScale = new double[SolidCount];
    private readonly double[] _left = new double[2 * Kinds];
    private readonly double[] _logs = new double[2];
    private double _solutes; // half of all that the last brine holds but carbon, its water taken as 1 kg/L [mol/kg]
    private int _known;
    private bool _slopeIsKnown;
    private bool _fresh;

    /// <summary>A path from a feed water.</summary>
    /// <param name="feed">The water before it dries.</param>
    /// <param name="logPressure">log10 of the partial pressure of carbon dioxide in atm [-].</param>
    public DryDownPath(WaterComposition feed, double logPressure)
    {
        _feed = feed;
        _logPressure = logPressure;
        _alkalinity = (2 * feed[Component.Phosphate]) - feed.ChargeResidual;
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

    /// <summary>Strength of the last brine, as of <see cref="DryDown.CutOffStrength"/> [mol/kg].</summary>
    public double Strength => Math.Max(_speciation.IonicStrength, _solutes);

    /// <summary>Speciations solved so far [-].</summary>
    public int Solved { get; private set; }

    /// <summary>Saturation index of a solid in the last brine [-]; minus infinity when an ion is absent.</summary>
    /// <param name="solid">Index of the solid [-].</param>
    public double SaturationIndex(int solid) => _speciation.SaturationIndex(Reactions[solid]);

    /// <summary>Amount left in solution of a component [mol/m³ of feed].</summary>
    /// <param name="component">Which.</param>
    public double Dissolved(Component component) => Math.Max(0, Left(component, _precipitated));

    /// <summary>Whether a solid lies in the brine.</summary>
    /// <param name="solid">Index of the solid [-].</param>
    public bool IsPresent(int solid) => _present[solid];

    /// <summary>Lets a solid form from here on.</summary>
    /// <param name="solid">Index of the solid [-].</param>
    public void Admit(int solid)
    {
        _present[solid] = true;
        _slopeIsKnown = false;
    }

    /// <summary>Remembers the solids of now, to <see cref="Return"/> to.</summary>
    public void Keep()
    {
        _precipitated.CopyTo(_kept, 0);
        _present.CopyTo(_keptPresent, 0);
    }

    /// <summary>Goes back to the solids last kept; the brine is that of no factor until the next move.</summary>
    public void Return()
    {
        _kept.CopyTo(_precipitated, 0);
        _keptPresent.CopyTo(_present, 0);
        _slopeIsKnown = false;
        _known = 0;
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

            Admit(next);
        }

        return false;
    }

    /// <summary>
    /// Brings the brine to a concentration factor without a solid that is not yet there; false when it cannot be solved.
    /// Starts from what the last two brines foretell: what stays in solution changes nearly as a power of the factor.
    /// </summary>
    /// <param name="logFactor">Natural logarithm of the factor [-].</param>
    public bool FollowTo(double logFactor)
    {
        Span<bool> before = stackalloc bool[SolidCount];
        _present.CopyTo(before);
        Foretell(logFactor);
        if (!Balance(Math.Exp(logFactor)))
        {
            return false;
        }

        // A solid that a long step took away belongs there still when the brine is over its saturation without it.
        for (int s = 0; s < SolidCount; s++)
        {
            if (before[s] && !_present[s] && SaturationIndex(s) > Tolerance)
            {
                return MoveTo(Math.Exp(logFactor)) && Know(logFactor);
            }
        }

        return Know(logFactor);
    }

    /// <summary>Takes the brine into what the next ones are foretold from.</summary>
    private bool Know(double logFactor)
    {
        Array.Copy(_left, Kinds, _left, 0, Kinds);
        _logs[0] = _logs[1];
        _logs[1] = logFactor;
        Lefts(_left.AsSpan(Kinds));
        _known = Math.Min(2, _known + 1);
        return true;
    }

    private void Foretell(double logFactor)
    {
        if (_known < 2 || Math.Abs(_logs[1] - _logs[0]) < 1e-6)
        {
            return;
        }

        double share = (logFactor - _logs[1]) / (_logs[1] - _logs[0]);
        Span<double> next = stackalloc double[Kinds];
        for (int k = 0; k < Kinds; k++)
        {
            double now = _left[Kinds + k];
            double before = _left[k];
            next[k] = now > 0 && before > 0 ? now * Math.Pow(now / before, share) : now;
        }

        double gypsum = _present[1] ? _feed[Component.Sulfate] - next[1] : 0;
        double byAlkalinity = 0.5 * (_alkalinity - next[3]);
        double byCalcium = _feed[Component.Calcium] - gypsum - next[0];
        double calcite = 0.5 * next[3] < next[0] ? byAlkalinity : byCalcium;
        double silica = _feed[Component.Silica] - next[2];
        ReadOnlySpan<double> foretold = [_present[0] ? calcite : 0, gypsum, _present[2] ? silica : 0];
        bool possible =
            Left(Component.Calcium, foretold) > 0.1 * next[0]
            && _alkalinity - (2 * foretold[0]) > 0.1 * next[3];
        for (int s = 0; s < SolidCount; s++)
        {
            possible &= foretold[s] >= 0;
        }

        if (possible)
        {
            foretold.CopyTo(_precipitated);
        }
    }

    /// <summary>What stays in solution of calcium, sulfate, silica [mol/m³ of feed] and alkalinity [eq/m³ of feed].</summary>
    private void Lefts(Span<double> left)
    {
        left[0] = Left(Component.Calcium, _precipitated);
        left[1] = Left(Component.Sulfate, _precipitated);
        left[2] = Left(Component.Silica, _precipitated);
        left[3] = _alkalinity - (2 * _precipitated[0]);
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

        ScaleSlope();
        Span<double> step = stackalloc double[SolidCount];
        Span<double> before = stackalloc double[SolidCount];
        for (int iteration = 0; iteration < 60; iteration++)
        {
            if (!_slopeIsKnown && !MeasureSlope(factor))
            {
                return false;
            }

            SolveStep(step);
            if (Absent(step))
            {
                _slopeIsKnown = false;
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
                _slopeIsKnown = false;
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

            _slopeIsKnown &= !slow;
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
        _solutes = 0;
        for (int c = 0; c < _totals.Length; c++)
        {
            _totals[c] = factor * Math.Max(0, Left((Component)c, precipitated)); // eq. drying-32
            _solutes += (Component)c is Component.InorganicCarbon ? 0 : 0.5e-3 * _totals[c]; // eq. drying-35
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
}
