using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// Beds of one structure side by side, one in each lane of a vector: coefficients, loading and water of all their
/// nodes. It marches one implicit stage of all of them at once. <see cref="BedState"/> is the same for one bed.
/// </summary>
internal sealed class LaneBed<TLanes>
    where TLanes : unmanaged, ILanes<TLanes>
{
    /// <summary>Lanes of a vector.</summary>
    public static readonly int Width = TLanes.Count;

    private const double FarthestAhead = 2.5; // a second stage lies 2.41 times as far ahead as its first

    private readonly int _ions;
    private readonly int _slots;
    private readonly LaneChemistry<TLanes> _chemistry;
    private readonly LaneNode<TLanes> _node;
    private readonly BedCoefficients[] _coefficients = new BedCoefficients[Width];
    private readonly TLanes[] _loading;
    private readonly TLanes[] _rate;
    private readonly TLanes[] _next;
    private readonly TLanes[] _pore;
    private readonly TLanes[] _theta;
    private readonly TLanes[] _hydrogen;
    private readonly TLanes[] _thetaBefore;
    private readonly TLanes[] _hydrogenBefore;
    private readonly TLanes[] _march;
    private readonly TLanes[] _transfer;
    private readonly TLanes[] _arriving;
    private TLanes _excessTime;
    private TLanes _bypass;
    private TLanes _voidFraction;
    private TLanes _cold; // lanes whose roots are not known from an earlier stage
    private TLanes _stepStart; // times since a lane was loaded [s]
    private TLanes _solved;
    private TLanes _solvedBefore;

    /// <summary>Room for beds like this one.</summary>
    /// <param name="like">A bed.</param>
    /// <param name="k">Its coefficients.</param>
    public LaneBed(BedState like, BedCoefficients k)
    {
        _ions = like.Ions.Count;
        _slots = like.Slots;
        NodeCount = like.Grid.NodeCount;
        _chemistry = new LaneChemistry<TLanes>(k);
        _node = new LaneNode<TLanes>(_chemistry);
        _loading = new TLanes[NodeCount * _slots];
        _rate = new TLanes[NodeCount * _slots];
        _next = new TLanes[NodeCount * _slots];
        _pore = new TLanes[NodeCount * _ions];
        _theta = new TLanes[NodeCount * k.Resins.Length];
        _hydrogen = new TLanes[NodeCount];
        _thetaBefore = new TLanes[_theta.Length];
        _hydrogenBefore = new TLanes[NodeCount];
        _march = new TLanes[NodeCount];
        _transfer = new TLanes[NodeCount * _slots];
        _arriving = new TLanes[_ions];
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
        _cold = _cold.Marked(lane, !state.Rooted);
        Put(_thetaBefore, lane, state.Theta);
        Put(_hydrogenBefore, lane, state.Hydrogen);
        _stepStart = _stepStart.With(lane, 0);
        _solved = _solved.With(lane, 0);
        _solvedBefore = _solvedBefore.With(lane, -1);
        _excessTime = _excessTime.With(lane, k.ExcessTime);
        _bypass = _bypass.With(lane, state.Bed.Bypass);
        _voidFraction = _voidFraction.With(lane, state.Bed.VoidFraction);
        var transfer = new double[NodeCount * _slots];
        var march = new double[NodeCount];
        for (int j = 0; j < NodeCount; j++)
        {
            march[j] = 0.5 * state.Grid.Slice[j] * k.Depth / k.Velocity;
            Transfer(k, march[j], transfer.AsSpan(j * _slots, _slots));
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
        state.Rooted = true;
    }

    /// <summary>Takes over the loading and the time of the last stage in the lanes of a mask.</summary>
    public void Accept(TLanes mask)
    {
        _stepStart = TLanes.Select(mask, _solved, _stepStart);
        for (int s = 0; s < _loading.Length; s++)
        {
            _loading[s] = TLanes.Select(mask, _next[s], _loading[s]);
        }
    }

    /// <summary>One implicit stage, as <see cref="BedState.March"/>.</summary>
    /// <param name="index">Stage, 0 or 1.</param>
    /// <param name="implicitTime">Implicit part of the stage [s].</param>
    /// <param name="carriedTime">Time that the first stage's rates are carried over [s].</param>
    /// <param name="water">Water at the inlet in, water after the bed out [mol/m³].</param>
    /// <returns>A mask of the lanes in which every node was solved.</returns>
    public TLanes March(int index, TLanes implicitTime, TLanes carriedTime, Span<TLanes> water)
    {
        TLanes keep = _excessTime / (_excessTime + implicitTime + carriedTime);
        TLanes solved = TLanes.Mask;
        Span<TLanes> outlet = stackalloc TLanes[_ions];
        Span<TLanes> basis = stackalloc TLanes[_slots];
        Span<TLanes> uptake = stackalloc TLanes[_slots];
        uptake.Clear();
        ReadOnlySpan<LaneSlot<TLanes>> slots = _chemistry.Slots;
        int resins = _chemistry.Resins.Length;
        water.CopyTo(outlet);
        _node.Begin(implicitTime);
        TLanes time = _stepStart + implicitTime + carriedTime;
        TLanes ahead = TLanes.Max(
            TLanes.Min((time - _solved) / (_solved - _solvedBefore), TLanes.All(FarthestAhead)),
            TLanes.All(-FarthestAhead)
        );
        (_solvedBefore, _solved) = (_solved, time);
        for (int j = 0; j < NodeCount; j++)
        {
            TLanes march = _march[j];
            Copy(outlet, _arriving);
            for (int s = 0; s < _slots; s++)
            {
                _arriving[slots[s].Ion] -= march * uptake[s];
            }

            Span<TLanes> loading = _loading.AsSpan(j * _slots, _slots);
            Span<TLanes> rate = _rate.AsSpan(j * _slots, _slots);
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

            Span<TLanes> theta = _theta.AsSpan(j * resins, resins);
            ref TLanes hydrogen = ref _hydrogen[j];
            hydrogen = Guess(hydrogen, ref _hydrogenBefore[j], ahead);
            for (int r = 0; r < resins; r++)
            {
                theta[r] = Guess(theta[r], ref _thetaBefore[j * resins + r], ahead);
            }

            if (j > 0 && _cold.Bits != 0)
            {
                hydrogen = TLanes.Select(_cold, _hydrogen[j - 1], hydrogen);
                for (int r = 0; r < resins; r++)
                {
                    theta[r] = TLanes.Select(_cold, _theta[(j - 1) * resins + r], theta[r]);
                }
            }

            solved &= SolveNode(
                j,
                implicitTime,
                march,
                _transfer.AsSpan(j * _slots, _slots),
                basis,
                loading,
                keep,
                uptake,
                outlet
            );
            Span<TLanes> target = index == 0 ? rate : _next.AsSpan(j * _slots, _slots);
            for (int s = 0; s < _slots; s++)
            {
                TLanes change = slots[s].ChargePerCapacity * uptake[s];
                target[s] = index == 0 ? change : basis[s] + implicitTime * change;
            }

            Copy(outlet, _pore.AsSpan(j * _ions, _ions));
        }

        for (int i = 0; i < _ions; i++)
        {
            water[i] = (TLanes.All(1) - _bypass) * outlet[i] + _bypass * water[i];
        }

        _cold = default;
        return solved;
    }

    /// <summary>One implicit step of the beds at rest, as <see cref="BedState.Stand"/>; the beds were loaded with the film of still water.</summary>
    /// <param name="time">Length of the step [s].</param>
    /// <returns>A mask of the lanes in which every node was solved.</returns>
    public TLanes Stand(double time)
    {
        TLanes stage = TLanes.All(time);
        TLanes march = stage / _voidFraction;
        TLanes solved = TLanes.Mask;
        Span<TLanes> transfer = stackalloc TLanes[_slots];
        Span<TLanes> uptake = stackalloc TLanes[_slots];
        ReadOnlySpan<LaneSlot<TLanes>> slots = _chemistry.Slots;
        Span<double> transferLane = stackalloc double[_slots];
        for (int lane = 0; lane < Width; lane++)
        {
            Transfer(_coefficients[lane], march[lane], transferLane);
            PutSlots(transfer, lane, transferLane);
        }

        _node.Begin(stage);
        for (int j = 0; j < NodeCount; j++)
        {
            Span<TLanes> pore = _pore.AsSpan(j * _ions, _ions);
            Span<TLanes> loading = _loading.AsSpan(j * _slots, _slots);
            Copy(pore, _arriving);
            solved &= SolveNode(j, stage, march, transfer, loading, loading, TLanes.All(1), uptake, pore);
            for (int s = 0; s < _slots; s++)
            {
                loading[s] += stage * slots[s].ChargePerCapacity * uptake[s];
            }
        }

        return solved;
    }

    /// <summary>Copies vector by vector; a copy in other portions would make the next load wait for its parts.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Copy(ReadOnlySpan<TLanes> source, Span<TLanes> target)
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
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TLanes Guess(TLanes last, ref TLanes before, TLanes ahead)
    {
        TLanes sum = last + before;
        TLanes most = TLanes.All(0.6) * sum;
        TLanes move = TLanes.Max(TLanes.Min(ahead * (last - before), most), -most);
        before = last;
        return last * (sum + move) * TLanes.Inverse(sum - move);
    }

    /// <summary>k·a/(1 + b·k·a) of every ion on every resin, which the march b = <paramref name="march"/> [s] leaves of its rate [1/s].</summary>
    private static void Transfer(BedCoefficients k, double march, Span<double> transfer)
    {
        foreach (ResinCoefficients resin in k.Resins)
        {
            for (int n = 0; n < resin.Ion.Length; n++)
            {
                transfer[resin.Slot + n] = resin.Rate[n] / (1 + march * resin.Rate[n]);
            }
        }
    }

    /// <summary>Solves a node for the water that stands in <see cref="_arriving"/>; the roots start from those it has.</summary>
    private TLanes SolveNode(
        int j,
        TLanes stage,
        TLanes march,
        Span<TLanes> transfer,
        Span<TLanes> basis,
        Span<TLanes> loading,
        TLanes keep,
        Span<TLanes> uptake,
        Span<TLanes> liquid
    )
    {
        int resins = _chemistry.Resins.Length;
        Span<TLanes> theta = _theta.AsSpan(j * resins, resins);
        ref TLanes hydrogen = ref _hydrogen[j];
        TLanes done = _node.Solve(
            _arriving,
            march,
            transfer,
            basis,
            loading,
            keep,
            theta,
            ref hydrogen,
            uptake,
            liquid
        );
        return done.Bits == (1u << Width) - 1
            ? done
            : done
                | SolveAlone(
                    j,
                    ~done,
                    stage,
                    march,
                    basis,
                    loading,
                    keep,
                    theta,
                    ref hydrogen,
                    uptake,
                    liquid
                );
    }

    /// <summary>Solves a node of the lanes of a mask by the scalar form, which brackets its roots.</summary>
    private TLanes SolveAlone(
        int j,
        TLanes mask,
        TLanes implicitTime,
        TLanes march,
        Span<TLanes> basis,
        Span<TLanes> loading,
        TLanes keep,
        Span<TLanes> theta,
        ref TLanes hydrogen,
        Span<TLanes> uptake,
        Span<TLanes> outlet
    )
    {
        Span<double> arrivingLane = stackalloc double[_ions];
        Span<double> outletLane = stackalloc double[_ions];
        Span<double> basisLane = stackalloc double[_slots];
        Span<double> loadingLane = stackalloc double[_slots];
        Span<double> uptakeLane = stackalloc double[_slots];
        Span<double> thetaLane = stackalloc double[theta.Length];
        var solved = default(TLanes);
        for (int lane = 0; lane < Width; lane++)
        {
            if ((mask.Bits >> lane & 1) == 0)
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
            hydrogen = hydrogen.With(lane, h);
            solved = solved.Marked(lane, found);
        }

        return solved;
    }

    private static Span<double> Doubles(Span<TLanes> vectors) => MemoryMarshal.Cast<TLanes, double>(vectors);

    private static void Put(Span<TLanes> target, int lane, ReadOnlySpan<double> source)
    {
        Span<double> lanes = Doubles(target);
        for (int i = 0; i < source.Length; i++)
        {
            lanes[i * Width + lane] = source[i];
        }
    }

    private static void Take(Span<TLanes> source, int lane, Span<double> target)
    {
        Span<double> lanes = Doubles(source);
        for (int i = 0; i < target.Length; i++)
        {
            target[i] = lanes[i * Width + lane];
        }
    }

    /// <summary>Puts values that stand node after node in the order of a bed's fractions.</summary>
    private void PutSlots(Span<TLanes> target, int lane, ReadOnlySpan<double> source)
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

    private void TakeSlots(Span<TLanes> source, int lane, Span<double> target)
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
