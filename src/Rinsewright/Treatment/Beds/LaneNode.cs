using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Lanes = System.Runtime.Intrinsics.Vector256<double>;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// The equations of <see cref="BedNode"/> for four beds at once, solved for θ of every resin and H+ of the bulk together by
/// Newton's method with analytic derivatives. A lane that has converged stands still while others go on, so that what a
/// lane gives does not depend on its neighbours.
/// </summary>
internal sealed class LaneNode
{
    private const int MaxIterations = 40;
    private const double Tolerance = 3e-7; // of a step that is still applied: the error left is of its square
    private const double ReferenceFloor = 1e-4;
    private const double LongestLeap = 1;
    private static readonly uint AllLanes = (1u << Lanes.Count) - 1;

    private readonly LaneChemistry _k;
    private readonly Exchange[] _exchange;
    private readonly Balance[] _balance;

    public LaneNode(LaneChemistry chemistry)
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
        public Lanes Top;

        /// <summary>How what comes back slows the uptake.</summary>
        public Lanes Slowing;

        /// <summary>Water that would leave were nothing to come back [mol/m³].</summary>
        public Lanes Least;

        /// <summary>What comes back into the water that leaves, over m·y.</summary>
        public Lanes Return;

        /// <summary>m·y.</summary>
        public Lanes Back;

        /// <summary>d(m·y)/dθ.</summary>
        public Lanes BackByTheta;

        /// <summary>d(m·y)/d(ln H).</summary>
        public Lanes BackByAcid;
    }

    /// <summary>What one resin needs while a node is solved.</summary>
    [StructLayout(LayoutKind.Sequential)]
    private struct Balance
    {
        /// <summary>Time by which the bead's surface is ahead of its mean [s].</summary>
        public Lanes Surface;

        /// <summary>τ of the reference ion [mol/m³].</summary>
        public Lanes Tau;

        /// <summary>What the fractions sum to [-].</summary>
        public Lanes Full;

        /// <summary>Reference ion that the bead can spare, as a concentration [mol/m³].</summary>
        public Lanes Spare;

        /// <summary>What the fractions sum to beyond full, in the form of Newton's step for 1/sum = 1/full.</summary>
        public Lanes Excess;

        /// <summary>−1 over its derivative by θ.</summary>
        public Lanes PerFall;

        /// <summary>Its derivative by ln H.</summary>
        public Lanes ByAcid;

        /// <summary>Derivative of the water's charge by θ.</summary>
        public Lanes ChargeByTheta;

        /// <summary>Step of θ.</summary>
        public Lanes Move;
    }

    /// <summary>Takes up what is the same for every node of a stage.</summary>
    /// <param name="stage">Implicit part of the stage [s].</param>
    public void Begin(Lanes stage)
    {
        for (int r = 0; r < _balance.Length; r++)
        {
            LaneResin resin = _k.Resins[r];
            _balance[r].Surface = stage + resin.ParticleTime;
            _balance[r].Tau = resin.Capacity / (resin.ReferenceRate * _balance[r].Surface);
        }
    }

    /// <summary>Solves a node; the arguments are those of <see cref="BedNode.Solve"/>, a lane for each bed.</summary>
    /// <returns>A mask of the lanes that were solved.</returns>
    public Lanes Solve(
        ReadOnlySpan<Lanes> arriving,
        Lanes march,
        ReadOnlySpan<Lanes> transfer,
        ReadOnlySpan<Lanes> basis,
        ReadOnlySpan<Lanes> loading,
        Lanes keep,
        Span<Lanes> theta,
        ref Lanes hydrogen,
        Span<Lanes> uptake,
        Span<Lanes> liquid
    )
    {
        Lanes fixedCharge = Prepare(arriving, march, transfer, basis, loading, keep);
        Lanes h = hydrogen;
        Lanes done;
        Lanes leap;
        for (int iteration = 0; ; iteration++)
        {
            (Lanes charge, Lanes rise) = Evaluate(arriving, fixedCharge, theta, h);
            foreach (ref Balance balance in _balance.AsSpan())
            {
                Lanes part = balance.ChargeByTheta * balance.PerFall;
                charge = Add(part, balance.Excess, charge);
                rise = Add(part, balance.ByAcid, rise);
            }

            leap = -charge / rise;
            Lanes bounded = Vector256.Max(
                Vector256.Min(leap, Vector256.Create(LongestLeap)),
                Vector256.Create(-LongestLeap)
            );
            done = Vector256.LessThan(Vector256.Abs(leap), Vector256.Create(Tolerance));
            for (int r = 0; r < _balance.Length; r++)
            {
                ref Balance balance = ref _balance[r];
                balance.Move = Add(balance.ByAcid, bounded, balance.Excess) * balance.PerFall;
                done &= Vector256.LessThan(
                    Vector256.Abs(balance.Move),
                    Vector256.Create(Tolerance) * theta[r]
                );
            }

            if (iteration == MaxIterations || done.ExtractMostSignificantBits() == AllLanes)
            {
                break;
            }

            Lanes next = h * (Two + bounded) / (Two - bounded);
            h = Vector256.ConditionalSelect(done, h, next);
            for (int r = 0; r < _balance.Length; r++)
            {
                Lanes t = theta[r];
                Lanes moved = Vector256.Max(t + _balance[r].Move, t * Vector256.Create(1 / 16.0));
                theta[r] = Vector256.ConditionalSelect(
                    done,
                    t,
                    Vector256.Min(moved, t * Vector256.Create(16.0))
                );
            }
        }

        hydrogen = h + h * leap;
        Finish(arriving, march, transfer, leap, theta, uptake, liquid);
        return done;
    }

    private static Lanes Two => Vector256.Create(2.0);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Lanes Add(Lanes factor, Lanes other, Lanes sum) =>
        Vector256.MultiplyAddEstimate(factor, other, sum);

    /// <summary>Everything that θ and H+ do not change; gives the charge of the water that depends on neither.</summary>
    private Lanes Prepare(
        ReadOnlySpan<Lanes> arriving,
        Lanes march,
        ReadOnlySpan<Lanes> transfer,
        ReadOnlySpan<Lanes> basis,
        ReadOnlySpan<Lanes> loading,
        Lanes keep
    )
    {
        Lanes charge = Lanes.Zero;
        foreach (int i in _k.Passing)
        {
            charge = Add(_k.Ions[i].Charge, arriving[i], charge);
        }

        for (int r = 0; r < _balance.Length; r++)
        {
            LaneResin resin = _k.Resins[r];
            ref Balance balance = ref _balance[r];
            Lanes held = Lanes.Zero;
            Lanes before = Lanes.Zero;
            for (int s = resin.First; s < resin.End; s++)
            {
                ref Exchange exchange = ref _exchange[s];
                ref readonly LaneSlot slot = ref _k.Slots[s];
                Lanes gain = balance.Surface * slot.ChargePerCapacity * transfer[s];
                Lanes share = march * transfer[s];
                Lanes c = arriving[slot.Ion];
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

            balance.Full = Add(keep, Vector256.Max(before - Lanes.One, Lanes.Zero), Lanes.One);
            balance.Spare = balance.Tau * Vector256.Max(balance.Full - held, Lanes.Zero);
        }

        return charge;
    }

    /// <summary>
    /// Charge of the water that leaves and, for each resin, what its fractions sum to beyond full; all with derivatives.
    /// </summary>
    private (Lanes Charge, Lanes ByAcid) Evaluate(
        ReadOnlySpan<Lanes> arriving,
        Lanes fixedCharge,
        ReadOnlySpan<Lanes> theta,
        Lanes h
    )
    {
        Lanes one = Lanes.One;
        Lanes perAcid = one / h;
        Lanes hydroxide = _k.Kw * perAcid;
        Lanes charge = fixedCharge + h - hydroxide;
        Lanes chargeByAcid = h + hydroxide;
        foreach (int i in _k.Passing)
        {
            if (_k.Ions[i].Weak)
            {
                ref LaneIon ion = ref _k.Ions[i];
                (Lanes excess, Lanes steepness) = Protons(ion.ProtonGain, ion.ProtonLoss, h, perAcid);
                charge = Add(excess, arriving[i], charge);
                chargeByAcid = Add(steepness, arriving[i], chargeByAcid);
            }
        }

        for (int r = 0; r < _balance.Length; r++)
        {
            LaneResin resin = _k.Resins[r];
            ref Balance balance = ref _balance[r];
            bool cations = resin.Sign > 0;
            Lanes bulk = cations ? h : hydroxide;
            Lanes bulkByAcid = cations ? h : -hydroxide;
            Lanes supply = bulk + balance.Spare;
            Lanes t = theta[r];
            Lanes both = t + balance.Tau;
            Lanes perBoth = one / both;
            Lanes sum = supply * perBoth;
            Lanes fall = sum * perBoth;
            Lanes byAcid = bulkByAcid * perBoth;
            Lanes chargeByTheta = Lanes.Zero;
            int s = resin.First;
            for (; s < resin.Doubles; s++)
            {
                ref Exchange exchange = ref _exchange[s];
                Lanes q = one / Add(exchange.Slowing, t, one);
                Lanes y = exchange.Top * q;
                Lanes rise = y * q;
                sum += y;
                fall = Add(exchange.Slowing, rise, fall);
                exchange.Back = t * y;
                exchange.BackByTheta = rise;
                charge = Add(exchange.Return, exchange.Back, charge);
                chargeByTheta = Add(exchange.Return, rise, chargeByTheta);
            }

            Lanes square = t * t;
            for (; s < resin.Protonating; s++)
            {
                ref Exchange exchange = ref _exchange[s];
                Lanes q = one / Add(exchange.Slowing, square, one);
                Lanes y = exchange.Top * q;
                Lanes rise = y * q * (t + t);
                sum += y;
                fall = Add(exchange.Slowing, rise, fall);
                exchange.Back = square * y;
                exchange.BackByTheta = rise;
                charge = Add(exchange.Return, exchange.Back, charge);
                chargeByTheta = Add(exchange.Return, rise, chargeByTheta);
            }

            if (s < resin.End)
            {
                Lanes floor = Vector256.Create(ReferenceFloor) * bulk;
                Lanes shared = t * perBoth;
                Lanes perWeighted = one / Add(t, supply, floor * both);
                Lanes acidicRatio = both * perWeighted;
                Lanes acidicRise = (t + both - t * both * (supply + floor) * perWeighted) * perWeighted;
                Lanes acidicByBulk =
                    acidicRatio * Add(Vector256.Create(ReferenceFloor), both, t) * perWeighted;
                Lanes basicRatio = shared * supply;
                Lanes basicRise = basicRatio * (Two - shared);
                for (; s < resin.End; s++)
                {
                    ref Exchange exchange = ref _exchange[s];
                    ref readonly LaneSlot slot = ref _k.Slots[s];
                    Lanes m = t * Add(slot.Acidic, acidicRatio, Add(slot.Basic, basicRatio, one));
                    Lanes mByTheta = Add(slot.Acidic, acidicRise, Add(slot.Basic, basicRise, one));
                    Lanes mByAcid = t * bulkByAcid * (slot.Basic * shared - slot.Acidic * acidicByBulk);
                    Lanes q = one / Add(exchange.Slowing, m, one);
                    Lanes y = exchange.Top * q;
                    Lanes rise = y * q;
                    exchange.Back = m * y;
                    exchange.BackByTheta = rise * mByTheta;
                    exchange.BackByAcid = rise * mByAcid;
                    sum += y;
                    fall = Add(exchange.Slowing, exchange.BackByTheta, fall);
                    byAcid -= exchange.Slowing * exchange.BackByAcid;
                    Lanes leaving = Vector256.Max(
                        Add(exchange.Return, exchange.Back, exchange.Least),
                        Lanes.Zero
                    );
                    ref LaneIon ion = ref _k.Ions[slot.Ion];
                    (Lanes excess, Lanes steepness) = Protons(ion.ProtonGain, ion.ProtonLoss, h, perAcid);
                    Lanes mean = slot.Charge + excess;
                    Lanes weight = mean * exchange.Return;
                    charge = Add(mean, leaving, charge);
                    chargeByAcid = Add(steepness, leaving, Add(weight, exchange.BackByAcid, chargeByAcid));
                    chargeByTheta = Add(weight, exchange.BackByTheta, chargeByTheta);
                }
            }

            balance.Excess = (sum - balance.Full) * sum / balance.Full;
            balance.PerFall = one / fall;
            balance.ByAcid = byAcid;
            balance.ChargeByTheta = chargeByTheta;
        }

        return (charge, chargeByAcid);
    }

    /// <summary>Mean number of protons that a weak ion has gained, and its derivative by ln H [-].</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static (Lanes Excess, Lanes Steepness) Protons(Lanes gain, Lanes loss, Lanes h, Lanes perAcid)
    {
        Lanes gained = h * gain;
        Lanes lost = perAcid * loss;
        Lanes changed = gained + lost;
        Lanes perForms = Lanes.One / (Lanes.One + changed);
        Lanes excess = (gained - lost) * perForms;
        return (excess, changed * perForms - excess * excess);
    }

    /// <summary>Applies the last step, which is small enough for its straight line.</summary>
    private void Finish(
        ReadOnlySpan<Lanes> arriving,
        Lanes march,
        ReadOnlySpan<Lanes> transfer,
        Lanes leap,
        Span<Lanes> theta,
        Span<Lanes> uptake,
        Span<Lanes> liquid
    )
    {
        LaneBed.Copy(arriving, liquid);
        for (int r = 0; r < _balance.Length; r++)
        {
            LaneResin resin = _k.Resins[r];
            Lanes move = _balance[r].Move;
            theta[r] += move;
            for (int s = resin.First; s < resin.End; s++)
            {
                ref Exchange exchange = ref _exchange[s];
                ref readonly LaneSlot slot = ref _k.Slots[s];
                Lanes back = Add(exchange.BackByTheta, move, exchange.Back);
                if (s >= resin.Protonating)
                {
                    back = Add(exchange.BackByAcid, leap, back);
                }

                Lanes c = arriving[slot.Ion];
                Lanes taken = transfer[s] * (c - slot.Scale * back); // eq. exchange-bed-2
                uptake[s] = taken;
                liquid[slot.Ion] = c - march * taken;
            }
        }
    }
}
