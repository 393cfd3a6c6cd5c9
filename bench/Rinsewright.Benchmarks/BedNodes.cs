using System.Runtime.Intrinsics;
using BenchmarkDotNet.Attributes;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Benchmarks;

/// <summary>
/// One node of a half-exhausted mixed bed in one implicit stage: the readable form for one bed, and the lanes for four beds at
/// once. Stages of 1 and 3 % of the stoichiometric time take turns, so that every solve starts from another root than its own.
/// </summary>
public class BedNodes
{
    private const int Nodes = BedGrid.DefaultSlices + 1;

    private readonly Conditions _conditions;
    private readonly BedState _state;
    private readonly LaneBed _lanes;
    private readonly double[] _water;
    private readonly Vector256<double>[] _laneWater;
    private bool _long;

    public BedNodes()
    {
        BedDraw life = SoftWaterBed.Life(SoftWaterBed.Bed);
        BedSeries series = life.Beds;
        var third = Volume.FromCubicMeters(life.Volume.CubicMeters / 3);
        series.Advance(life.Totals.Span, life.Temperature, life.Flow, third);
        _conditions = series.Begin(life.Totals.Span, life.Temperature, life.Flow, third)!;
        _state = series.States[0];
        _lanes = new LaneBed(_state, _conditions.Beds[0]);
        for (int lane = 0; lane < LaneBed.Width; lane++)
        {
            _lanes.Load(lane, _state, _conditions.Beds[0]);
        }

        _water = new double[_conditions.Feed.Length];
        _laneWater = new Vector256<double>[_water.Length];
    }

    [Benchmark(Baseline = true, OperationsPerInvoke = Nodes)]
    public bool One_bed_readable_form()
    {
        return _state.March(_conditions.Beds[0], 0, NextStage(), 0, _conditions.Feed, _water);
    }

    [Benchmark(OperationsPerInvoke = Nodes)]
    public Vector256<double> Four_beds_in_lanes()
    {
        for (int i = 0; i < _laneWater.Length; i++)
        {
            _laneWater[i] = Vector256.Create(_conditions.Feed[i]);
        }

        return _lanes.March(0, Vector256.Create(NextStage()), Vector256<double>.Zero, _laneWater);
    }

    private double NextStage()
    {
        _long = !_long;
        return (_long ? 0.03 : 0.01) * _conditions.ReferenceTime;
    }
}
