using System.Runtime.Intrinsics;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// Four draws under way, one in each lane, every one with its own steps. A lane that has ended takes the next draw, so that
/// lanes seldom idle.
/// </summary>
internal sealed class LaneBlock
{
    private readonly LaneBed[] _beds;
    private readonly LaneWork?[] _works = new LaneWork?[LaneBed.Width];
    private readonly double[] _step = new double[LaneBed.Width];
    private readonly double[] _wanted = new double[LaneBed.Width];
    private readonly Vector256<double>[] _feed;
    private readonly Vector256<double>[] _water;
    private readonly Vector256<double>[] _firstWater;
    private readonly LaneWork _firstWork;
    private readonly Func<LaneWork?> _next;
    private readonly BedRunStatus[] _statuses;
    private readonly SharedProgress _progress;

    /// <summary>A block for draws like this one, which it begins with.</summary>
    /// <param name="first">A draw.</param>
    /// <param name="next">Gives the next draw, or nothing.</param>
    /// <param name="statuses">Receives how each draw ended, at its place.</param>
    /// <param name="progress">Told what is done.</param>
    public LaneBlock(LaneWork first, Func<LaneWork?> next, BedRunStatus[] statuses, SharedProgress progress)
    {
        _firstWork = first;
        _next = next;
        _statuses = statuses;
        _progress = progress;
        _beds = [.. first.Series.States.Zip(first.Conditions.Beds, (s, k) => new LaneBed(s, k))];
        int ions = first.Conditions.Feed.Length;
        _feed = new Vector256<double>[ions];
        _water = new Vector256<double>[ions];
        _firstWater = new Vector256<double>[ions];
        Array.Fill(_step, 1);
        for (int lane = 0; lane < LaneBed.Width; lane++)
        {
            Load(lane, first);
        }
    }

    /// <summary>Runs draws until none is left.</summary>
    public void Run(CancellationToken cancellation)
    {
        Take(0, _firstWork);
        for (int lane = 0; lane < LaneBed.Width; lane++)
        {
            if (_works[lane] is null)
            {
                Fetch(lane);
            }
        }

        while (_works.Any(w => w is not null))
        {
            Step(cancellation.IsCancellationRequested);
        }
    }

    private void Step(bool cancelled)
    {
        for (int lane = 0; lane < LaneBed.Width; lane++)
        {
            if (_works[lane] is not { } work)
            {
                continue;
            }

            if (cancelled)
            {
                End(lane, BedRunStatus.Cancelled);
                continue;
            }

            (_step[lane], _wanted[lane]) = work.Series.Propose(work.Conditions, work.End);
        }

        var step = Vector256.Create(_step);
        Vector256<double> implicitTime = Vector256.Create(BedSeries.StageFraction) * step;
        Vector256<double> solved = March(0, implicitTime, Vector256<double>.Zero);
        _water.CopyTo(_firstWater, 0);
        solved &= March(1, implicitTime, step - implicitTime);

        var taken = Vector256<double>.Zero;
        for (int lane = 0; lane < LaneBed.Width; lane++)
        {
            if (_works[lane] is { } work && Judge(lane, work, solved) == StepResult.Taken)
            {
                taken = taken.WithElement(lane, BitConverter.Int64BitsToDouble(-1));
                _progress.Add(_step[lane] * work.Conditions.Flow / work.Volume);
            }
        }

        foreach (LaneBed bed in _beds)
        {
            bed.Accept(taken);
        }

        for (int lane = 0; lane < LaneBed.Width; lane++)
        {
            if (_works[lane] is { } work && work.Series.Ended(work.End) is { } status)
            {
                End(lane, status);
                Fetch(lane);
            }
        }
    }

    private Vector256<double> March(int stage, Vector256<double> implicitTime, Vector256<double> carriedTime)
    {
        _feed.CopyTo(_water, 0);
        Vector256<double> solved = Vector256<double>.AllBitsSet;
        foreach (LaneBed bed in _beds)
        {
            solved &= bed.March(stage, implicitTime, carriedTime, _water);
        }

        return solved;
    }

    private StepResult Judge(int lane, LaneWork work, Vector256<double> solved)
    {
        Conditions now = work.Conditions;
        for (int i = 0; i < _water.Length; i++)
        {
            now.FirstOutlet[i] = _firstWater[i][lane];
            now.Outlet[i] = _water[i][lane];
        }

        bool found = (solved.ExtractMostSignificantBits() >> lane & 1) == 1;
        StepResult result = work.Series.Judge(now, _step[lane], _wanted[lane], found);
        if (result is StepResult.NotFinite or StepResult.NotSolved)
        {
            End(lane, result is StepResult.NotFinite ? BedRunStatus.NonFinite : BedRunStatus.NotConverged);
            Fetch(lane);
        }

        return result;
    }

    private void Fetch(int lane)
    {
        while (_works[lane] is null && _next() is { } work)
        {
            Take(lane, work);
        }
    }

    private void Take(int lane, LaneWork work)
    {
        if (work.Series.Ended(work.End) is { } already)
        {
            _statuses[work.Index] = already;
            return;
        }

        _works[lane] = work;
        Load(lane, work);
    }

    private void Load(int lane, LaneWork work)
    {
        for (int b = 0; b < _beds.Length; b++)
        {
            _beds[b].Load(lane, work.Series.States[b], work.Conditions.Beds[b]);
        }

        for (int i = 0; i < _feed.Length; i++)
        {
            _feed[i] = _feed[i].WithElement(lane, work.Conditions.Feed[i]);
        }
    }

    private void End(int lane, BedRunStatus status)
    {
        LaneWork work = _works[lane]!;
        _works[lane] = null;
        for (int b = 0; b < _beds.Length; b++)
        {
            _beds[b].Store(lane, work.Series.States[b]);
        }

        _statuses[work.Index] = status;
    }
}
