using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// The equations of <see cref="BedNode"/> for several beds at once, solved for θ of every resin and H+ of the bulk together by
/// Newton's method with analytic derivatives. A lane that has converged stands still while others go on, so that what a
/// lane gives does not depend on its neighbours.
/// </summary>
internal sealed class LaneNode<TLanes>
    where TLanes : unmanaged, ILanes<TLanes>
{
    private const int MaxIterations = 40;
    private const double Tolerance = 3e-7; // of a step that is still applied: the error left is of its square
    private const double ReferenceFloor = BedNode.ReferenceFloor;
    private const double LongestLeap = 1;
    private static readonly uint AllLanes = (1u << TLanes.Count) - 1;

    private readonly LaneChemistry<TLanes> _k;
    private readonly Exchange[] _exchange;
    private readonly Balance[] _balance;

    public LaneNode(LaneChemistry<TLanes> chemistry)
    {
        _k = chemistry;
        _exchange = new Exchange[chemistry.Slots.Length];
        _balance = new Balance[chemistry.Resins.Length];
    }

    /// <summary>What one ion on one resin needs while a node is solved; y = top/(1 + slowing·m), c* = scale·m·y.</summary>
    [StructLayout(LayoutKind.Sequential)]
    private struct Exchange
    {
        /// <summary>Fraction at the bead's surface were nothing to come back [-].</summary>
        public TLanes Top;

        /// <summary>How what comes back slows the uptake.</summary>
        public TLanes Slowing;

        /// <summary>Water that would leave were nothing to come back [mol/m³].</summary>
        public TLanes Least;

        /// <summary>What comes back into the water that leaves, over m·y.</summary>
        public TLanes Return;

        /// <summary>m·y.</summary>
        public TLanes Back;

        /// <summary>d(m·y)/dθ.</summary>
        public TLanes BackByTheta;

        /// <summary>d(m·y)/d(ln H).</summary>
        public TLanes BackByAcid;
    }

    /// <summary>What one resin needs while a node is solved.</summary>
    [StructLayout(LayoutKind.Sequential)]
    private struct Balance
    {
        /// <summary>Time by which the bead's surface is ahead of its mean [s].</summary>
        public TLanes Surface;

        /// <summary>τ of the reference ion [mol/m³].</summary>
        public TLanes Tau;

        /// <summary>What the fractions sum to [-].</summary>
        public TLanes Full;

        /// <summary>1/<see cref="Full"/> [-].</summary>
        public TLanes PerFull;

        /// <summary>Reference ion that the bead can spare, as a concentration [mol/m³].</summary>
        public TLanes Spare;

        /// <summary>What the fractions sum to beyond full, in the form of Newton's step for 1/sum = 1/full.</summary>
        public TLanes Excess;

        /// <summary>−1 over its derivative by θ.</summary>
        public TLanes PerFall;

        /// <summary>Its derivative by ln H.</summary>
        public TLanes ByAcid;

        /// <summary>Derivative of the water's charge by θ.</summary>
        public TLanes ChargeByTheta;

        /// <summary>Step of θ.</summary>
        public TLanes Move;
    }

    /// <summary>Takes up what is the same for every node of a stage.</summary>
    /// <param name="stage">Implicit part of the stage [s].</param>
    public void Begin(TLanes stage)
    {
        for (int r = 0; r < _balance.Length; r++)
        {
            LaneResin<TLanes> resin = _k.Resins[r];
            _balance[r].Surface = stage + resin.ParticleTime;
            _balance[r].Tau = resin.Capacity / (resin.ReferenceRate * _balance[r].Surface);
        }
    }

    /// <summary>Solves a node; the arguments are those of <see cref="BedNode.Solve"/>, a lane for each bed.</summary>
    /// <returns>A mask of the lanes that were solved.</returns>
    public TLanes Solve(
        ReadOnlySpan<TLanes> arriving,
        TLanes march,
        ReadOnlySpan<TLanes> transfer,
        ReadOnlySpan<TLanes> basis,
        ReadOnlySpan<TLanes> loading,
        TLanes keep,
        Span<TLanes> theta,
        ref TLanes hydrogen,
        Span<TLanes> uptake,
        Span<TLanes> liquid
    )
    {
        TLanes fixedCharge = Prepare(arriving, march, transfer, basis, loading, keep);
        TLanes h = hydrogen;
        TLanes done;
        TLanes leap;
        for (int iteration = 0; ; iteration++)
        {
            (TLanes charge, TLanes rise) = Evaluate(arriving, fixedCharge, theta, h);
            foreach (ref Balance balance in _balance.AsSpan())
            {
                TLanes part = balance.ChargeByTheta * balance.PerFall;
                charge = Add(part, balance.Excess, charge);
                rise = Add(part, balance.ByAcid, rise);
            }

            leap = -charge * TLanes.Inverse(rise);
            TLanes bounded = TLanes.Max(TLanes.Min(leap, TLanes.All(LongestLeap)), TLanes.All(-LongestLeap));
            done = TLanes.Less(TLanes.Abs(leap), TLanes.All(Tolerance));
            for (int r = 0; r < _balance.Length; r++)
            {
                ref Balance balance = ref _balance[r];
                balance.Move = Add(balance.ByAcid, bounded, balance.Excess) * balance.PerFall;
                done &= TLanes.Less(TLanes.Abs(balance.Move), TLanes.All(Tolerance) * theta[r]);
            }

            if (iteration == MaxIterations || done.Bits == AllLanes)
            {
                break;
            }

            TLanes next = h * (Two + bounded) / (Two - bounded);
            h = TLanes.Select(done, h, next);
            for (int r = 0; r < _balance.Length; r++)
            {
                TLanes t = theta[r];
                TLanes moved = TLanes.Max(t + _balance[r].Move, t * TLanes.All(1 / 16.0));
                theta[r] = TLanes.Select(done, t, TLanes.Min(moved, t * TLanes.All(16.0)));
            }
        }

        hydrogen = h + h * leap;
        Finish(arriving, march, transfer, leap, theta, uptake, liquid);
        return done;
    }

    private static TLanes Two => TLanes.All(2.0);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TLanes Add(TLanes factor, TLanes other, TLanes sum) => TLanes.Add(factor, other, sum);

    /// <summary>Everything that θ and H+ do not change; gives the charge of the water that depends on neither.</summary>
    private TLanes Prepare(
        ReadOnlySpan<TLanes> arriving,
        TLanes march,
        ReadOnlySpan<TLanes> transfer,
        ReadOnlySpan<TLanes> basis,
        ReadOnlySpan<TLanes> loading,
        TLanes keep
    )
    {
        TLanes charge = default(TLanes);
        foreach (int i in _k.Passing)
        {
            charge = Add(_k.Ions[i].Charge, arriving[i], charge);
        }

        for (int r = 0; r < _balance.Length; r++)
        {
            LaneResin<TLanes> resin = _k.Resins[r];
            ref Balance balance = ref _balance[r];
            TLanes held = default(TLanes);
            TLanes before = default(TLanes);
            for (int s = resin.First; s < resin.End; s++)
            {
                ref Exchange exchange = ref _exchange[s];
                ref readonly LaneSlot<TLanes> slot = ref _k.Slots[s];
                TLanes gain = balance.Surface * slot.ChargePerCapacity * transfer[s];
                TLanes share = march * transfer[s];
                TLanes c = arriving[slot.Ion];
                held += basis[s];
                before += loading[s];
                exchange.Top = Add(gain, c, basis[s]);
                exchange.Slowing = gain * slot.Scale;
                exchange.Least = c - share * c;
                exchange.Return = share * slot.Scale;
                if (slot.Law != ExchangeLaw.Protonating)
                {
                    exchange.Return *= slot.Charge;
                    charge = Add(slot.Charge, exchange.Least, charge);
                }
            }

            balance.Full = Add(keep, TLanes.Max(before - TLanes.All(1), default(TLanes)), TLanes.All(1));
            balance.PerFull = TLanes.Inverse(balance.Full);
            balance.Spare = balance.Tau * TLanes.Max(balance.Full - held, default(TLanes));
        }

        return charge;
    }

    /// <summary>
    /// Charge of the water that leaves and, for each resin, what its fractions sum to beyond full; all with derivatives.
    /// </summary>
    private (TLanes Charge, TLanes ByAcid) Evaluate(
        ReadOnlySpan<TLanes> arriving,
        TLanes fixedCharge,
        ReadOnlySpan<TLanes> theta,
        TLanes h
    )
    {
        TLanes one = TLanes.All(1);
        TLanes perAcid = TLanes.Inverse(h);
        TLanes hydroxide = _k.Kw * perAcid;
        TLanes charge = fixedCharge + h - hydroxide;
        TLanes chargeByAcid = h + hydroxide;
        foreach (int i in _k.Passing)
        {
            if (_k.Ions[i].Weak)
            {
                ref LaneIon<TLanes> ion = ref _k.Ions[i];
                (TLanes excess, TLanes steepness) = Protons(ion.ProtonGain, ion.ProtonLoss, h, perAcid);
                charge = Add(excess, arriving[i], charge);
                chargeByAcid = Add(steepness, arriving[i], chargeByAcid);
            }
        }

        for (int r = 0; r < _balance.Length; r++)
        {
            LaneResin<TLanes> resin = _k.Resins[r];
            ref Balance balance = ref _balance[r];
            bool cations = resin.Sign > 0;
            TLanes bulk = cations ? h : hydroxide;
            TLanes bulkByAcid = cations ? h : -hydroxide;
            TLanes supply = bulk + balance.Spare;
            TLanes t = theta[r];
            TLanes both = t + balance.Tau;
            TLanes perBoth = TLanes.Inverse(both);
            TLanes sum = supply * perBoth;
            TLanes fall = sum * perBoth;
            TLanes byAcid = bulkByAcid * perBoth;
            TLanes chargeByTheta = default(TLanes);
            int s = resin.First;
            for (; s < resin.Doubles; s++)
            {
                ref Exchange exchange = ref _exchange[s];
                TLanes q = TLanes.Inverse(Add(exchange.Slowing, t, one));
                TLanes y = exchange.Top * q;
                TLanes rise = y * q;
                sum += y;
                fall = Add(exchange.Slowing, rise, fall);
                exchange.Back = t * y;
                exchange.BackByTheta = rise;
                charge = Add(exchange.Return, exchange.Back, charge);
                chargeByTheta = Add(exchange.Return, rise, chargeByTheta);
            }

            TLanes square = t * t;
            for (; s < resin.Protonating; s++)
            {
                ref Exchange exchange = ref _exchange[s];
                TLanes q = TLanes.Inverse(Add(exchange.Slowing, square, one));
                TLanes y = exchange.Top * q;
                TLanes rise = y * q * (t + t);
                sum += y;
                fall = Add(exchange.Slowing, rise, fall);
                exchange.Back = square * y;
                exchange.BackByTheta = rise;
                charge = Add(exchange.Return, exchange.Back, charge);
                chargeByTheta = Add(exchange.Return, rise, chargeByTheta);
            }

            if (s < resin.End)
            {
                TLanes floor = TLanes.All(ReferenceFloor) * bulk;
                TLanes shared = t * perBoth;
                TLanes perWeighted = TLanes.Inverse(Add(t, supply, floor * both));
                TLanes acidicRatio = both * perWeighted;
                TLanes acidicRise = (t + both - t * both * (supply + floor) * perWeighted) * perWeighted;
                TLanes acidicByBulk = acidicRatio * Add(TLanes.All(ReferenceFloor), both, t) * perWeighted;
                TLanes basicRatio = shared * supply;
                TLanes basicRise = basicRatio * (Two - shared);
                for (; s < resin.End; s++)
                {
                    ref Exchange exchange = ref _exchange[s];
                    ref readonly LaneSlot<TLanes> slot = ref _k.Slots[s];
                    TLanes m = t * Add(slot.Acidic, acidicRatio, Add(slot.Basic, basicRatio, one));
                    TLanes mByTheta = Add(slot.Acidic, acidicRise, Add(slot.Basic, basicRise, one));
                    TLanes mByAcid = t * bulkByAcid * (slot.Basic * shared - slot.Acidic * acidicByBulk);
                    TLanes q = TLanes.Inverse(Add(exchange.Slowing, m, one));
                    TLanes y = exchange.Top * q;
                    TLanes rise = y * q;
                    exchange.Back = m * y;
                    exchange.BackByTheta = rise * mByTheta;
                    exchange.BackByAcid = rise * mByAcid;
                    sum += y;
                    fall = Add(exchange.Slowing, exchange.BackByTheta, fall);
                    byAcid -= exchange.Slowing * exchange.BackByAcid;
                    TLanes leaving = TLanes.Max(
                        Add(exchange.Return, exchange.Back, exchange.Least),
                        default(TLanes)
                    );
                    ref LaneIon<TLanes> ion = ref _k.Ions[slot.Ion];
                    (TLanes excess, TLanes steepness) = Protons(ion.ProtonGain, ion.ProtonLoss, h, perAcid);
                    TLanes mean = slot.Charge + excess;
                    TLanes weight = mean * exchange.Return;
                    charge = Add(mean, leaving, charge);
                    chargeByAcid = Add(steepness, leaving, Add(weight, exchange.BackByAcid, chargeByAcid));
                    chargeByTheta = Add(weight, exchange.BackByTheta, chargeByTheta);
                }
            }

            balance.Excess = (sum - balance.Full) * sum * balance.PerFull;
            balance.PerFall = TLanes.Inverse(fall);
            balance.ByAcid = byAcid;
            balance.ChargeByTheta = chargeByTheta;
        }

        return (charge, chargeByAcid);
    }

    /// <summary>Mean number of protons that a weak ion has gained, and its derivative by ln H [-].</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static (TLanes Excess, TLanes Steepness) Protons(
        TLanes gain,
        TLanes loss,
        TLanes h,
        TLanes perAcid
    )
    {
        TLanes gained = h * gain;
        TLanes lost = perAcid * loss;
        TLanes changed = gained + lost;
        TLanes perForms = TLanes.Inverse(TLanes.All(1) + changed);
        TLanes excess = (gained - lost) * perForms;
        return (excess, changed * perForms - excess * excess);
    }

    /// <summary>Applies the last step, which is small enough for its straight line.</summary>
    private void Finish(
        ReadOnlySpan<TLanes> arriving,
        TLanes march,
        ReadOnlySpan<TLanes> transfer,
        TLanes leap,
        Span<TLanes> theta,
        Span<TLanes> uptake,
        Span<TLanes> liquid
    )
    {
        LaneBed<TLanes>.Copy(arriving, liquid);
        for (int r = 0; r < _balance.Length; r++)
        {
            LaneResin<TLanes> resin = _k.Resins[r];
            TLanes move = _balance[r].Move;
            theta[r] += move;
            for (int s = resin.First; s < resin.End; s++)
            {
                ref Exchange exchange = ref _exchange[s];
                ref readonly LaneSlot<TLanes> slot = ref _k.Slots[s];
                TLanes back = Add(exchange.BackByTheta, move, exchange.Back);
                if (s >= resin.Protonating)
                {
                    back = Add(exchange.BackByAcid, leap, back);
                }

                TLanes c = arriving[slot.Ion];
                TLanes taken = transfer[s] * (c - slot.Scale * back); // eq. exchange-bed-2
                uptake[s] = taken;
                liquid[slot.Ion] = c - march * taken;
            }
        }
    }
}
