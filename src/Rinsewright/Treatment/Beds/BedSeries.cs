using System.Collections.Immutable;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// One or more beds in series, stepped through draws, rests and changes of flow, temperature and source. In time it uses
/// the two-stage, second-order, L-stable diagonally implicit Runge–Kutta method of Alexander (key <c>alexander1977</c>), with steps that follow
/// what leaves the last bed; in depth the trapezoidal rule. What a step takes from the water is what it puts on the
/// resins, to round-off.
/// </summary>
public sealed partial class BedSeries
{
    internal const double StageFraction = 0.29289321881345254; // 1 − 1/√2
    internal const double StepTolerance = 0.005;
    private const double CoarseStepTolerance = 0.02;
    private const double RejectOver = 1.5; // times the tolerance; at 4 the corners of a slug were cut by as much as 2 % of it
    private const double LongestStep = 0.02; // of the shortest stoichiometric time
    private const double ShortestStep = 1e-5; // shorter ones drown in round-off and bring nothing
    private const double FirstStep = 0.003;
    private const double ExcessTime = 0.003;
    private const int MaxSteps = 50_000;

    private readonly ImmutableArray<ExchangeBed> _beds;
    private readonly Func<double, BedConstants> _constants;
    private readonly double _tolerance;
    private BedState[] _states;
    private BedIons _ions;
    private double _volume;
    private double _owed; // [eq], what rests took out of the pores and the next draw brings back
    private Conditions? _conditions;
    private string? _structure;
    private readonly StepMemory _memory = new();

    /// <summary>Beds as their designs say, nothing drawn yet.</summary>
    /// <param name="beds">The beds, in the order in which the water meets them.</param>
    /// <param name="slowestFlow">The slowest flow expected; it sets how fine the bed is divided.</param>
    /// <param name="temperature">Usual temperature of the water.</param>
    /// <param name="detail">How closely what leaves them is to be followed.</param>
    public BedSeries(
        IReadOnlyList<ExchangeBed> beds,
        VolumeFlow slowestFlow,
        Temperature temperature,
        BedDetail detail = BedDetail.Curves
    )
        : this(
            beds,
            GridsFor(slowestFlow, temperature, detail),
            BedConstants.At,
            detail is BedDetail.Lines ? CoarseStepTolerance : StepTolerance
        ) { }

    /// <summary>Beds with a grid, constants and a step tolerance [-] of the caller's choice.</summary>
    internal BedSeries(
        IReadOnlyList<ExchangeBed> beds,
        Func<ExchangeBed, BedGrid> grid,
        Func<double, BedConstants> constants,
        double stepTolerance
    )
    {
        _constants = constants;
        if (beds.Count == 0)
        {
            throw new ArgumentException("A series has at least one bed.", nameof(beds));
        }

        _beds = [.. beds];
        _tolerance = stepTolerance;
        foreach (ExchangeBed bed in beds)
        {
            bed.Validate();
        }

        _ions = BedIons.Of(_beds, new double[IonCatalog.ComponentCount]);
        _states = [.. _beds.Select(b => new BedState(b, _ions, grid(b)))];
    }

    /// <summary>The beds as they stand now.</summary>
    public IReadOnlyList<BedState> States => _states;

    /// <summary>What has left the last bed so far.</summary>
    public EffluentCurve Effluent { get; } = new();

    /// <summary>Volume drawn so far.</summary>
    public Volume Drawn => Volume.FromCubicMeters(_volume);

    /// <summary>Steps taken and steps that were rejected and taken again smaller.</summary>
    public (int Taken, int Rejected) Steps { get; private set; }

    internal BedBalance Balance { get; } = new();

    /// <summary>What must be the same for series that share a block of lanes.</summary>
    internal string Structure =>
        _structure ??= string.Join(
            '|',
            _states.Select(s =>
                $"{s.Grid.NodeCount}:{string.Join(',', s.Ions.Components)}:"
                + string.Join(
                    ';',
                    s.Resins.Zip(s.Bed.Resins, (ions, r) => $"{r.Sign}{string.Join(',', ions)}")
                )
            )
        );

    /// <summary>Whether a bed has two resins that take the same ion, which the lanes do not solve.</summary>
    internal bool ResinsCompete => _states.Any(s => s.Resins.SelectMany(r => r).Distinct().Count() < s.Slots);

    /// <summary>
    /// Largest difference, over all ions, between what went in, what came out and what sits on the resins, over all
    /// equivalents handled [-].
    /// </summary>
    public double BalanceError => Balance.Error(_states);

    /// <summary>
    /// Volume after which a feed has brought as many equivalents as the first-exhausted (or last-exhausted) resins hold.
    /// </summary>
    /// <param name="totals">Totals of the feed by component [mol/m³].</param>
    /// <param name="last">Whether the larger volume of cation and anion resins is asked for.</param>
    public Volume StoichiometricVolume(ReadOnlySpan<double> totals, bool last = true)
    {
        double? found = null;
        foreach (int sign in (ReadOnlySpan<int>)[1, -1])
        {
            double capacity = _beds.Sum(b => b.CapacityEquivalents(sign));
            double load = 0;
            for (int i = 0; i < totals.Length; i++)
            {
                int charge = BedIons.ExchangedForm((Component)i).Charge;
                bool taken = _beds.Any(b =>
                    b.Resins.Any(r => r.Sign == sign && r.Selectivity.ContainsKey((Component)i))
                );
                load += taken ? Math.Abs(charge) * totals[i] : 0;
            }

            if (capacity > 0 && load > 0)
            {
                double volume = capacity / load;
                found =
                    found is not double v ? volume
                    : last ? Math.Max(v, volume)
                    : Math.Min(v, volume);
            }
        }

        return Volume.FromCubicMeters(found ?? _beds.Sum(b => b.Volume.CubicMeters));
    }

    /// <summary>Draws water through the beds.</summary>
    /// <param name="totals">Totals of the feed by component, length <see cref="IonCatalog.ComponentCount"/> [mol/m³].</param>
    /// <param name="temperature">Temperature of the water.</param>
    /// <param name="flow">Flow through the series.</param>
    /// <param name="volume">Volume to draw.</param>
    /// <param name="progress">Told the fraction of the volume drawn [-].</param>
    /// <param name="cancellation">Stops the draw between two steps.</param>
    public BedRunStatus Advance(
        ReadOnlySpan<double> totals,
        Temperature temperature,
        VolumeFlow flow,
        Volume volume,
        IProgress<double>? progress = null,
        CancellationToken cancellation = default
    ) =>
        BedEnsemble.Advance(
            [new BedDraw(this, totals.ToArray(), temperature, flow, volume)],
            threads: 1,
            progress,
            cancellation
        )[0];

    /// <summary>
    /// The same draw by the readable form of the equations, which the ensemble form is held to and which it leaves beds with
    /// competing resins to.
    /// </summary>
    internal BedRunStatus AdvanceScalar(
        ReadOnlySpan<double> totals,
        Temperature temperature,
        VolumeFlow flow,
        Volume volume,
        IProgress<double>? progress = null,
        CancellationToken cancellation = default
    )
    {
        double start = _volume;
        double end = _volume + volume.CubicMeters;
        Conditions? now = Begin(totals, temperature, flow, volume);
        if (now is null)
        {
            return BedRunStatus.NotConverged;
        }

        BedRunStatus? ended;
        while ((ended = Ended(end)) is null)
        {
            if (cancellation.IsCancellationRequested)
            {
                return BedRunStatus.Cancelled;
            }

            (double step, double wanted) = Propose(now, end);
            bool solved = Stage(now, 0, StageFraction * step, 0);
            now.Outlet.CopyTo(now.FirstOutlet, 0);
            solved = solved && Stage(now, 1, StageFraction * step, (1 - StageFraction) * step);
            switch (Judge(now, step, wanted, solved))
            {
                case StepResult.NotFinite:
                    return BedRunStatus.NonFinite;
                case StepResult.NotSolved:
                    return BedRunStatus.NotConverged;
                case StepResult.Taken:
                    foreach (BedState state in _states)
                    {
                        state.Accept();
                    }

                    progress?.Report((_volume - start) / volume.CubicMeters);
                    break;
            }
        }

        return ended.Value;
    }

    /// <summary>Puts a fresh fill into one bed, as its design says.</summary>
    /// <param name="bed">Index of the bed.</param>
    public void Refill(int bed)
    {
        BedState old = _states[bed];
        Balance.Removed(old);
        _states[bed] = new BedState(old.Bed, _ions, old.Grid);
        Balance.Added(_states[bed]);
        _memory.Forget();
    }

    /// <summary>Moves the first bed to the end and the others up, as in a lead–lag change-over.</summary>
    public void Rotate()
    {
        _states = [.. _states.Skip(1), _states[0]];
        _conditions = null;
        _structure = null;
        _memory.Forget();
    }

    private static Func<ExchangeBed, BedGrid> GridsFor(
        VolumeFlow slowestFlow,
        Temperature temperature,
        BedDetail detail
    )
    {
        BedConstants constants = BedConstants.At(temperature.Kelvins);
        return bed => BedGrid.For(bed, slowestFlow, constants, detail);
    }

    internal Conditions Prepare(ReadOnlySpan<double> totals, Temperature temperature, VolumeFlow flow)
    {
        if (totals.Length != IonCatalog.ComponentCount)
        {
            throw new ArgumentException(
                $"A feed has {IonCatalog.ComponentCount} totals, one for each component.",
                nameof(totals)
            );
        }

        if (!(flow.CubicMetersPerSecond > 0))
        {
            throw new ArgumentOutOfRangeException(nameof(flow), flow, "The flow of a draw lies above 0.");
        }

        if (_conditions is { } same && same.Matches(totals, temperature, flow))
        {
            return same;
        }

        BedIons ions = BedIons.Of(_beds, totals, _ions);
        if (ions.Count != _ions.Count)
        {
            _ions = ions;
            _states = [.. _states.Select(s => s.WithIons(ions))];
            _structure = null;
        }

        double[] given = totals.ToArray();
        double[] feed = [.. _ions.Components.Select(c => given[(int)c])];

        double flowRate = flow.CubicMetersPerSecond;
        double reference = StoichiometricVolume(totals, last: false).CubicMeters / flowRate;
        double? next = _conditions?.NextStep;
        _memory.Feed(_ions, feed);
        _conditions = new Conditions(
            given,
            temperature,
            flowRate,
            feed,
            [
                .. _states.Select(s =>
                    Coefficients(s, flowRate, temperature.Kelvins, given, ExcessTime * reference)
                ),
            ],
            reference
        )
        {
            LongestStep = LongestStep * reference,
            NextStep = Math.Min(next ?? double.MaxValue, FirstStep * reference),
        };
        return _conditions;
    }

    /// <summary>Makes ready for a draw: coefficients, and at the very first the water that a new bed gives at once.</summary>
    /// <param name="totals">Totals of the feed by component [mol/m³].</param>
    /// <param name="temperature">Temperature of the water.</param>
    /// <param name="flow">Flow through the series.</param>
    /// <param name="volume">Volume of the draw.</param>
    /// <returns>The conditions of the draw, or nothing when that water was not found.</returns>
    internal Conditions? Begin(
        ReadOnlySpan<double> totals,
        Temperature temperature,
        VolumeFlow flow,
        Volume volume
    )
    {
        Conditions now = Prepare(totals, temperature, flow);
        if (NeedsFirstWater && !Stage(now, 0, FirstStage(now), 0))
        {
            return null;
        }

        Opened(now, volume.CubicMeters);
        return now;
    }

    /// <summary>Whether no water has left yet, so that the first must be found, by one stage, before a step.</summary>
    internal bool NeedsFirstWater => Effluent.Count == 0;

    /// <summary>Length of the stage that finds the first water [s].</summary>
    internal static double FirstStage(Conditions now) => ShortestStep * now.ReferenceTime;

    /// <summary>Begins a draw whose first water, if it needed one, stands in the outlet of the conditions.</summary>
    /// <param name="now">The conditions.</param>
    /// <param name="volume">Volume to draw [m³].</param>
    internal void Opened(Conditions now, double volume)
    {
        if (NeedsFirstWater)
        {
            Balance.Start(_states);
            _memory.Accept(now.Outlet, 0);
            Effluent.Add(_volume, _ions, now.Outlet);
        }

        FillPores(now, volume);
    }

    /// <summary>How a draw has ended, or nothing while it has not.</summary>
    /// <param name="end">Volume at which it ends [m³].</param>
    internal BedRunStatus? Ended(double end) =>
        _volume >= end - 1e-12 * end ? BedRunStatus.Completed
        : Steps.Taken >= MaxSteps ? BedRunStatus.StepLimit
        : null;

    /// <summary>The step to try next, and what it would be were the end of the draw not near [s].</summary>
    internal (double Step, double Wanted) Propose(Conditions now, double end)
    {
        double left = (end - _volume) / now.Flow;
        double wanted = Math.Min(now.NextStep, now.LongestStep);
        return (left <= wanted ? left : Math.Min(wanted, left / 2), wanted);
    }

    /// <summary>Judges a step whose outlets stand in the conditions; when it is taken, all but the states moves on.</summary>
    /// <param name="now">The conditions.</param>
    /// <param name="step">The step tried [s].</param>
    /// <param name="wanted">What it would have been were the end of the draw not near [s].</param>
    /// <param name="solved">Whether every node was solved.</param>
    internal StepResult Judge(Conditions now, double step, double wanted, bool solved)
    {
        double shortest = ShortestStep * now.ReferenceTime;
        if (!solved)
        {
            now.NextStep = Math.Max(0.25 * step, shortest);
            return step <= shortest ? StepResult.NotSolved : StepResult.Rejected;
        }

        double error = _memory.Error(now.Outlet, step);
        if (!double.IsFinite(error))
        {
            return StepResult.NotFinite;
        }

        double factor = Math.Max(0.4, Math.Sqrt(_tolerance / Math.Max(error, 1e-12)));
        if (error > RejectOver * _tolerance && step > shortest)
        {
            now.NextStep = now.Rung(Math.Max(step * Math.Min(factor, 0.5), shortest));
            Steps = Steps with { Rejected = Steps.Rejected + 1 };
            return StepResult.Rejected;
        }

        double drawn = step * now.Flow;
        for (int i = 0; i < _ions.Count; i++)
        {
            double mean = (1 - StageFraction) * now.FirstOutlet[i] + StageFraction * now.Outlet[i];
            Balance.Passed(_ions.Components[i], now.Feed[i] * drawn, mean * drawn);
        }

        _volume += drawn;
        _memory.Accept(now.Outlet, step);
        now.NextStep = now.Rung(Math.Max(Math.Min(step * factor, 1.6 * wanted), shortest));
        Steps = Steps with { Taken = Steps.Taken + 1 };
        Effluent.Add(_volume, _ions, now.Outlet);
        return StepResult.Taken;
    }

    private bool Stage(Conditions now, int index, double implicitTime, double carried)
    {
        now.Feed.CopyTo(now.Inlet, 0);
        bool solved = true;
        for (int b = 0; b < _states.Length; b++)
        {
            solved &= _states[b].March(now.Beds[b], index, implicitTime, carried, now.Inlet, now.Outlet);
            double bypass = _states[b].Bed.Bypass;
            for (int i = 0; i < now.Outlet.Length; i++)
            {
                now.Outlet[i] = (1 - bypass) * now.Outlet[i] + bypass * now.Inlet[i]; // eq. exchange-bed-18
            }

            now.Outlet.CopyTo(now.Inlet, 0);
        }

        return solved;
    }
}
