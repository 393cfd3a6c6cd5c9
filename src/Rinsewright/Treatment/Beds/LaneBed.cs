using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Lanes = System.Runtime.Intrinsics.Vector256<double>;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// Four beds of one structure side by side, one in each lane of a vector: coefficients, loading and water of all their
/// nodes. It marches one implicit stage of all four at once. <see cref="BedState"/> is the same for one bed.
/// </summary>
internal sealed class LaneBed
{
    /// <summary>Lanes of a vector.</summary>
    public static readonly int Width = Lanes.Count;

    private const double FarthestAhead = 2.5; // a second stage lies 2.41 times as far ahead as its first

    private readonly int _ions;
    private readonly int _slots;
    private readonly LaneChemistry _chemistry;
    private readonly LaneNode _node;
    private readonly BedCoefficients[] _coefficients = new BedCoefficients[Width];
    private readonly Lanes[] _loading;
    private readonly Lanes[] _rate;
    private readonly Lanes[] _next;
    private readonly Lanes[] _pore;
    private readonly Lanes[] _theta;
    private readonly Lanes[] _hydrogen;
    private readonly Lanes[] _thetaBefore;
    private readonly Lanes[] _hydrogenBefore;
    private readonly Lanes[] _march;
    private readonly Lanes[] _transfer;
    private readonly Lanes[] _arriving;
    private Lanes _excessTime;
    private Lanes _bypass;
    private Lanes _stepStart; // times since a lane was loaded [s]
    private Lanes _solved;
    private Lanes _solvedBefore;

    /// <summary>Room for beds like this one.</summary>
    /// <param name="like">A bed.</param>
    /// <param name="k">Its coefficients.</param>
    public LaneBed(BedState like, BedCoefficients k)
    {
        _ions = like.Ions.Count;
        _slots = like.Slots;
        NodeCount = like.Grid.NodeCount;
        _chemistry = new LaneChemistry(k);
        _node = new LaneNode(_chemistry);
        _loading = new Lanes[NodeCount * _slots];
        _rate = new Lanes[NodeCount * _slots];
        _next = new Lanes[NodeCount * _slots];
        _pore = new Lanes[NodeCount * _ions];
        _theta = new Lanes[NodeCount * k.Resins.Length];
        _hydrogen = new Lanes[NodeCount];
        _thetaBefore = new Lanes[_theta.Length];
        _hydrogenBefore = new Lanes[NodeCount];
        _march = new Lanes[NodeCount];
        _transfer = new Lanes[NodeCount * _slots];
        _arriving = new Lanes[_ions];
    }

    private int NodeCount { get; }

    /// <summary>Puts a bed into a lane.</summary>
    public void Load(int lane, BedState state, BedCoefficients k)
    {
        _coefficients[lane] = k;
        _chemistry.Load(lane, k);
        PutSlots(_loading, lane, state.Loading);
        Put(_pore, lane, state.Pore);
        Put(_theta, lane, state.Theta);
        Put(_hydrogen, lane, state.Hydrogen);
        Put(_thetaBefore, lane, state.Theta);
        Put(_hydrogenBefore, lane, state.Hydrogen);
        _stepStart = _stepStart.WithElement(lane, 0);
        _solved = _solved.WithElement(lane, 0);
        _solvedBefore = _solvedBefore.WithElement(lane, -1);
        _excessTime = _excessTime.WithElement(lane, k.ExcessTime);
        _bypass = _bypass.WithElement(lane, state.Bed.Bypass);
        var transfer = new double[NodeCount * _slots];
        var march = new double[NodeCount];
        for (int j = 0; j < NodeCount; j++)
        {
            march[j] = 0.5 * state.Grid.Slice[j] * k.Depth / k.Velocity;
            foreach (ResinCoefficients resin in k.Resins)
            {
                for (int n = 0; n < resin.Ion.Length; n++)
                {
                    transfer[j * _slots + resin.Slot + n] = resin.Rate[n] / (1 + march[j] * resin.Rate[n]);
                }
            }
        }

        Put(_march, lane, march);
        PutSlots(_transfer, lane, transfer);
    }

    /// <summary>Writes a lane back to its bed.</summary>
    public void Store(int lane, BedState state)
    {
        TakeSlots(_loading, lane, state.Loading);
        Take(_pore, lane, state.Pore);
        Take(_theta, lane, state.Theta);
        Take(_hydrogen, lane, state.Hydrogen);
    }

    /// <summary>Takes over the loading and the time of the last stage in the lanes of a mask.</summary>
    public void Accept(Lanes mask)
    {
        _stepStart = Vector256.ConditionalSelect(mask, _solved, _stepStart);
        for (int s = 0; s < _loading.Length; s++)
        {
            _loading[s] = Vector256.ConditionalSelect(mask, _next[s], _loading[s]);
        }
    }

    /// <summary>One implicit stage, as <see cref="BedState.March"/>.</summary>
    /// <param name="index">Stage, 0 or 1.</param>
    /// <param name="implicitTime">Implicit part of the stage [s].</param>
    /// <param name="carriedTime">Time that the first stage's rates are carried over [s].</param>
    /// <param name="water">Water at the inlet in, water after the bed out [mol/m³].</param>
    /// <returns>A mask of the lanes in which every node was solved.</returns>
    public Lanes March(int index, Lanes implicitTime, Lanes carriedTime, Span<Lanes> water)
    {
        Lanes keep = _excessTime / (_excessTime + implicitTime + carriedTime);
        Lanes solved = Lanes.AllBitsSet;
        Span<Lanes> outlet = stackalloc Lanes[_ions];
        Span<Lanes> basis = stackalloc Lanes[_slots];
        Span<Lanes> uptake = stackalloc Lanes[_slots];
        uptake.Clear();
        ReadOnlySpan<LaneSlot> slots = _chemistry.Slots;
        int resins = _chemistry.Resins.Length;
        water.CopyTo(outlet);
        _node.Begin(implicitTime);
        Lanes time = _stepStart + implicitTime + carriedTime;
        Lanes ahead = Vector256.Max(
            Vector256.Min((time - _solved) / (_solved - _solvedBefore), Vector256.Create(FarthestAhead)),
            Vector256.Create(-FarthestAhead)
        );
        (_solvedBefore, _solved) = (_solved, time);
        for (int j = 0; j < NodeCount; j++)
        {
            Lanes march = _march[j];
            Copy(outlet, _arriving);
            for (int s = 0; s < _slots; s++)
            {
                _arriving[slots[s].Ion] -= march * uptake[s];
            }

            Span<Lanes> loading = _loading.AsSpan(j * _slots, _slots);
            Span<Lanes> rate = _rate.AsSpan(j * _slots, _slots);
            if (index == 0)
            {
                Copy(loading, basis);
            }
            else
            {
                for (int s = 0; s < _slots; s++)
                {
                    basis[s] = loading[s] + carriedTime * rate[s];
                }
            }

            Span<Lanes> theta = _theta.AsSpan(j * resins, resins);
            ref Lanes hydrogen = ref _hydrogen[j];
            hydrogen = Guess(hydrogen, ref _hydrogenBefore[j], ahead);
            for (int r = 0; r < resins; r++)
            {
                theta[r] = Guess(theta[r], ref _thetaBefore[j * resins + r], ahead);
            }

            Lanes done = _node.Solve(
                _arriving,
                march,
                _transfer.AsSpan(j * _slots, _slots),
                basis,
                loading,
                keep,
                theta,
                ref hydrogen,
                uptake,
                outlet
            );
            if (done.ExtractMostSignificantBits() != (1u << Width) - 1)
            {
                done |= SolveAlone(
                    j,
                    ~done,
                    implicitTime,
                    march,
                    basis,
                    loading,
                    keep,
                    theta,
                    ref hydrogen,
                    uptake,
                    outlet
                );
                solved &= done;
            }

            Span<Lanes> target = index == 0 ? rate : _next.AsSpan(j * _slots, _slots);
            for (int s = 0; s < _slots; s++)
            {
                Lanes change = slots[s].ChargePerCapacity * uptake[s];
                target[s] = index == 0 ? change : basis[s] + implicitTime * change;
            }

            Copy(outlet, _pore.AsSpan(j * _ions, _ions));
        }

        for (int i = 0; i < _ions; i++)
        {
            water[i] = (Lanes.One - _bypass) * outlet[i] + _bypass * water[i];
        }

        return solved;
    }

    /// <summary>Copies vector by vector; a copy in other portions would make the next load wait for its parts.</summary>
    public static void Copy(ReadOnlySpan<Lanes> source, Span<Lanes> target)
    {
        for (int i = 0; i < source.Length; i++)
        {
            target[i] = source[i];
        }
    }

    /// <summary>
    /// What a positive value will be if its logarithm goes on as from the root before to the last root, by at most a factor of
    /// four: e^x is taken as (2 + x)/(2 − x).
    /// </summary>
    private static Lanes Guess(Lanes last, ref Lanes before, Lanes ahead)
    {
        Lanes sum = last + before;
        Lanes most = Vector256.Create(0.6) * sum;
        Lanes move = Vector256.Max(Vector256.Min(ahead * (last - before), most), -most);
        before = last;
        return last * (sum + move) / (sum - move);
    }

    /// <summary>Solves a node of the lanes of a mask by the scalar form, which brackets its roots.</summary>
    private Lanes SolveAlone(
        int j,
        Lanes mask,
        Lanes implicitTime,
        Lanes march,
        Span<Lanes> basis,
        Span<Lanes> loading,
        Lanes keep,
        Span<Lanes> theta,
        ref Lanes hydrogen,
        Span<Lanes> uptake,
        Span<Lanes> outlet
    )
    {
        Span<double> arrivingLane = stackalloc double[_ions];
        Span<double> outletLane = stackalloc double[_ions];
        Span<double> basisLane = stackalloc double[_slots];
        Span<double> loadingLane = stackalloc double[_slots];
        Span<double> uptakeLane = stackalloc double[_slots];
        Span<double> thetaLane = stackalloc double[theta.Length];
        var solved = Lanes.Zero;
        for (int lane = 0; lane < Width; lane++)
        {
            if ((mask.ExtractMostSignificantBits() >> lane & 1) == 0)
            {
                continue;
            }

            Take(_arriving, lane, arrivingLane);
            TakeSlots(basis, lane, basisLane);
            TakeSlots(loading, lane, loadingLane);
            thetaLane.Fill(1e-2);
            double h = 1e-4;
            BedCoefficients k = _coefficients[lane];
            if (march[lane] == 0)
            {
                h = BulkAcidity.Solve(k, arrivingLane, h);
            }

            bool found = BedNode.Solve(
                k,
                j % 2 == 0,
                arrivingLane,
                march[lane],
                implicitTime[lane],
                basisLane,
                loadingLane,
                keep[lane],
                thetaLane,
                ref h,
                uptakeLane,
                outletLane
            );
            Put(theta, lane, thetaLane);
            PutSlots(uptake, lane, uptakeLane);
            Put(outlet, lane, outletLane);
            hydrogen = hydrogen.WithElement(lane, h);
            solved = solved.WithElement(lane, found ? BitConverter.Int64BitsToDouble(-1) : 0);
        }

        return solved;
    }

    private static Span<double> Doubles(Span<Lanes> vectors) => MemoryMarshal.Cast<Lanes, double>(vectors);

    private static void Put(Span<Lanes> target, int lane, ReadOnlySpan<double> source)
    {
        Span<double> lanes = Doubles(target);
        for (int i = 0; i < source.Length; i++)
        {
            lanes[i * Width + lane] = source[i];
        }
    }

    private static void Take(Span<Lanes> source, int lane, Span<double> target)
    {
        Span<double> lanes = Doubles(source);
        for (int i = 0; i < target.Length; i++)
        {
            target[i] = lanes[i * Width + lane];
        }
    }

    /// <summary>Puts values that stand node after node in the order of a bed's fractions.</summary>
    private void PutSlots(Span<Lanes> target, int lane, ReadOnlySpan<double> source)
    {
        Span<double> lanes = Doubles(target);
        for (int node = 0; node < source.Length; node += _slots)
        {
            for (int s = 0; s < _slots; s++)
            {
                lanes[(node + s) * Width + lane] = source[node + _chemistry.Slots[s].Place];
            }
        }
    }

    private void TakeSlots(Span<Lanes> source, int lane, Span<double> target)
    {
        Span<double> lanes = Doubles(source);
        for (int node = 0; node < target.Length; node += _slots)
        {
            for (int s = 0; s < _slots; s++)
            {
                target[node + _chemistry.Slots[s].Place] = lanes[(node + s) * Width + lane];
            }
        }
    }
}
