using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <content>Rests between draws, and the water that stands in the beds meanwhile.</content>
public sealed partial class BedSeries
{
    private const double RestGrowth = 4;

    /// <summary>
    /// Leaves the beds standing with their water in them. What their resins take from it, the next draw brings back into the
    /// pores with its first water, which loads no resin.
    /// </summary>
    /// <param name="duration">How long.</param>
    /// <param name="temperature">Temperature of the standing water.</param>
    public BedRunStatus Rest(TimeSpan duration, Temperature temperature) =>
        BedEnsemble.Rest([(this, temperature)], duration, threads: 1)[0];

    /// <summary>The same rest by the readable form of the equations.</summary>
    internal BedRunStatus RestScalar(TimeSpan duration, Temperature temperature)
    {
        double stood = LeaveStanding();
        bool solved = _states.All(state =>
        {
            BedCoefficients still = Still(state, temperature);
            return RestSteps(duration).All(step => state.Stand(still, step));
        });
        Rested(stood);
        return solved ? BedRunStatus.Completed : BedRunStatus.NotConverged;
    }

    /// <summary>The steps of a rest, each longer than the last [s].</summary>
    internal static IEnumerable<double> RestSteps(TimeSpan duration)
    {
        double left = duration.TotalSeconds;
        for (double step = 1; left > 0; step *= RestGrowth)
        {
            double next = Math.Min(step, left);
            left -= next;
            yield return next;
        }
    }

    /// <summary>Begins a rest.</summary>
    /// <returns>What stands in the pores [eq].</returns>
    internal double LeaveStanding()
    {
        foreach (BedState state in _states)
        {
            Balance.LeftStanding(state);
        }

        return _states.Sum(PoreEquivalents);
    }

    /// <summary>Ends a rest.</summary>
    /// <param name="stood">What stood in the pores as it began [eq].</param>
    internal void Rested(double stood)
    {
        foreach (BedState state in _states)
        {
            Balance.FlushedOut(state);
        }

        _owed += stood - _states.Sum(PoreEquivalents);
        _memory.Forget();
    }

    /// <summary>Coefficients of one of the beds with the film of still water.</summary>
    internal BedCoefficients Still(BedState state, Temperature temperature) =>
        Coefficients(state, StillFlow(state), temperature.Kelvins, _conditions?.Totals, 1);

    /// <summary>Water that stands between the last beads: the first that the next draw brings, by component [mol/m³].</summary>
    public double[] FirstWater()
    {
        BedState last = _states[^1];
        var totals = new double[IonCatalog.ComponentCount];
        for (int i = 0; i < _ions.Count; i++)
        {
            totals[(int)_ions.Components[i]] = last.Pore[(last.Grid.NodeCount - 1) * _ions.Count + i];
        }

        return totals;
    }

    /// <summary>
    /// Water in the pores is not followed through time: it counts as always as the flow would have it. After a rest it is less, by
    /// what the resins took, and the first water of a draw makes up for that.
    /// </summary>
    private void FillPores(Conditions now, double volume)
    {
        double strength = 0;
        for (int i = 0; i < _ions.Count; i++)
        {
            strength += Math.Abs(BedIons.ExchangedForm(_ions.Components[i]).Charge) * now.Feed[i];
        }

        if (_owed > 0 && strength > 0)
        {
            double filling = Math.Min(_owed / strength, volume); // eq. exchange-bed-19
            _owed -= filling * strength;
            _volume += filling;
        }
    }

    private double PoreEquivalents(BedState state)
    {
        double sum = 0;
        for (int i = 0; i < _ions.Count; i++)
        {
            sum += Math.Abs(BedIons.ExchangedForm(_ions.Components[i]).Charge) * state.PoreAmount(i);
        }

        return sum;
    }

    /// <summary>
    /// Flow whose film stands for that of still water [m³/s]: a superficial velocity of 0.1 mm/s, our choice. As in a draw, the
    /// rate is held to what the grid resolves.
    /// </summary>
    private static double StillFlow(BedState state) => state.Bed.Area * 1e-4;

    private BedCoefficients Coefficients(
        BedState state,
        double flow,
        double temperature,
        ReadOnlySpan<double> totals,
        double excessTime
    ) =>
        BedCoefficients.Create(
            state.Bed,
            _ions,
            state.Grid,
            flow,
            _constants(temperature),
            totals,
            excessTime
        );
}
