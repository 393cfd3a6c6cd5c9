using BenchmarkDotNet.Attributes;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Benchmarks;

/// <summary>
/// One node of a half-exhausted mixed bed in one implicit stage: the readable form for one bed, and the lanes for four and for eight beds at
/// once. Stages of 1 and 3 % of the stoichiometric time take turns, so that every solve starts from another root than its own.
/// </summary>
public class BedNodes
{
    private const int Nodes = BedGrid.DefaultSlices + 1;

    private readonly Conditions _conditions;
    private readonly BedState _state;
    private readonly LaneBed<Lanes4> _four;
    private readonly LaneBed<Lanes8> _eight;
    private readonly double[] _water;
    private readonly Lanes4[] _fourWaters;
    private readonly Lanes8[] _eightWaters;
    private bool _long;

    public BedNodes()
    {
        BedDraw life = SoftWaterBed.Life(SoftWaterBed.Bed);
        BedSeries series = life.Beds;
        var third = Volume.FromCubicMeters(life.Volume.CubicMeters / 3);
        series.Advance(life.Totals.Span, life.Temperature, life.Flow, third);
        _conditions = series.Begin(life.Totals.Span, life.Temperature, life.Flow, third)!;
        _state = series.States[0];
        _four = Filled<Lanes4>();
        _eight = Filled<Lanes8>();
        _water = new double[_conditions.Feed.Length];
        _fourWaters = new Lanes4[_water.Length];
        _eightWaters = new Lanes8[_water.Length];
    }

    [Benchmark(Baseline = true, OperationsPerInvoke = Nodes)]
    public bool One_bed_readable_form()
    {
        return _state.March(_conditions.Beds[0], 0, NextStage(), 0, _conditions.Feed, _water);
    }

    [Benchmark(OperationsPerInvoke = Nodes)]
    public uint Four_beds_in_lanes() => March(_four, _fourWaters);

    [Benchmark(OperationsPerInvoke = Nodes)]
    public uint Eight_beds_in_lanes() => March(_eight, _eightWaters);

    private LaneBed<TLanes> Filled<TLanes>()
        where TLanes : unmanaged, ILanes<TLanes>
    {
        var bed = new LaneBed<TLanes>(_state, _conditions.Beds[0]);
        for (int lane = 0; lane < TLanes.Count; lane++)
        {
            bed.Load(lane, _state, _conditions.Beds[0]);
        }

        return bed;
    }

    private uint March<TLanes>(LaneBed<TLanes> bed, TLanes[] waters)
        where TLanes : unmanaged, ILanes<TLanes>
    {
        for (int i = 0; i < waters.Length; i++)
        {
            waters[i] = TLanes.All(_conditions.Feed[i]);
        }

        return bed.March(0, TLanes.All(NextStage()), default, waters).Bits;
    }

    private double NextStage()
    {
        _long = !_long;
        return (_long ? 0.03 : 0.01) * _conditions.ReferenceTime;
    }
}
