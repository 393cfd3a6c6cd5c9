namespace Rinsewright.Treatment.Beds;

/// <summary>
/// Draws under way, one in each lane, every one with its own steps. A lane that has ended takes the next draw, so that
/// lanes seldom idle.
/// </summary>
internal sealed class LaneBlock<TLanes>
    where TLanes : unmanaged, ILanes<TLanes>
{
    private readonly LaneBed<TLanes>[] _beds;
    private readonly LaneWork?[] _works = new LaneWork?[LaneBed<TLanes>.Width];
    private readonly double[] _step = new double[LaneBed<TLanes>.Width];
    private readonly double[] _wanted = new double[LaneBed<TLanes>.Width];
    private readonly TLanes[] _feed;
    private readonly TLanes[] _water;
    private readonly TLanes[] _firstWater;
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
        _beds = [.. first.Series.States.Zip(first.Conditions.Beds, (s, k) => new LaneBed<TLanes>(s, k))];
        int ions = first.Conditions.Feed.Length;
        _feed = new TLanes[ions];
        _water = new TLanes[ions];
        _firstWater = new TLanes[ions];
        Array.Fill(_step, 1);
        for (int lane = 0; lane < LaneBed<TLanes>.Width; lane++)
        {
            Load(lane, first);
        }
    }

    /// <summary>Runs draws until none is left.</summary>
    public void Run(CancellationToken cancellation)
    {
        Take(0, _firstWork);
        for (int lane = 0; lane < LaneBed<TLanes>.Width; lane++)
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
        for (int lane = 0; lane < LaneBed<TLanes>.Width; lane++)
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

            (_step[lane], _wanted[lane]) = work.Propose();
        }

        var step = TLanes.Of(_step);
        TLanes implicitTime = TLanes.All(BedSeries.StageFraction) * step;
        TLanes solved = March(0, implicitTime, default(TLanes));
        _water.CopyTo(_firstWater, 0);
        TLanes first = solved;
        solved &= March(1, implicitTime, step - implicitTime);

        var taken = default(TLanes);
        for (int lane = 0; lane < LaneBed<TLanes>.Width; lane++)
        {
            if (_works[lane] is not { } work)
            {
                continue;
            }

            if (work.Series.NeedsFirstWater)
            {
                Open(lane, work, first);
            }
            else if (Judge(lane, work, solved) == StepResult.Taken)
            {
                taken = taken.Marked(lane, true);
                _progress.Add(_step[lane] * work.Conditions.Flow / work.Volume);
            }
        }

        foreach (LaneBed<TLanes> bed in _beds)
        {
            bed.Accept(taken);
        }

        for (int lane = 0; lane < LaneBed<TLanes>.Width; lane++)
        {
            if (_works[lane] is { } work && work.Series.Ended(work.End) is { } status)
            {
                End(lane, status);
                Fetch(lane);
            }
        }
    }

    private TLanes March(int stage, TLanes implicitTime, TLanes carriedTime)
    {
        _feed.CopyTo(_water, 0);
        TLanes solved = TLanes.Mask;
        foreach (LaneBed<TLanes> bed in _beds)
        {
            solved &= bed.March(stage, implicitTime, carriedTime, _water);
        }

        return solved;
    }

    /// <summary>Takes the water of the first stage as a draw's first water; the rest of the step is not used.</summary>
    private void Open(int lane, LaneWork work, TLanes solved)
    {
        if (!Solved(solved, lane))
        {
            End(lane, BedRunStatus.NotConverged);
            Fetch(lane);
            return;
        }

        Take(_firstWater, lane, work.Conditions.Outlet);
        work.Open();
    }

    private static bool Solved(TLanes solved, int lane) => (solved.Bits >> lane & 1) == 1;

    private static void Take(TLanes[] source, int lane, double[] target)
    {
        for (int i = 0; i < target.Length; i++)
        {
            target[i] = source[i][lane];
        }
    }

    private StepResult Judge(int lane, LaneWork work, TLanes solved)
    {
        Conditions now = work.Conditions;
        Take(_firstWater, lane, now.FirstOutlet);
        Take(_water, lane, now.Outlet);
        StepResult result = work.Series.Judge(now, _step[lane], _wanted[lane], Solved(solved, lane));
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
        if (!work.Series.NeedsFirstWater)
        {
            work.Open();
        }

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
            _feed[i] = _feed[i].With(lane, work.Conditions.Feed[i]);
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
