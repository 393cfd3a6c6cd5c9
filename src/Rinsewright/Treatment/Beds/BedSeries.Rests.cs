using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <content>Rests between draws, and the water that stands in the beds meanwhile.</content>
public sealed partial class BedSeries
{
    /// <summary>
    /// Leaves the beds standing with their water in them. What their resins take from it, the next draw brings back into the
    /// pores with its first water, which loads no resin.
    /// </summary>
    /// <param name="duration">How long.</param>
    /// <param name="temperature">Temperature of the standing water.</param>
    public BedRunStatus Rest(TimeSpan duration, Temperature temperature)
    {
        foreach (BedState state in _states)
        {
            Balance.LeftStanding(state);
            double before = PoreEquivalents(state);
            BedCoefficients still = Coefficients(state, StillFlow(state), temperature.Kelvins, 0, 1);
            double left = duration.TotalSeconds;
            double step = 1;
            while (left > 0)
            {
                step = Math.Min(step, left);
                if (!state.Stand(still, step))
                {
                    return BedRunStatus.NotConverged;
                }

                left -= step;
                step *= 2;
            }

            Balance.FlushedOut(state);
            _owed += before - PoreEquivalents(state);
        }

        _memory.Forget();
        return BedRunStatus.Completed;
    }

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

    private static double StillFlow(BedState state) =>
        state.Bed.Area * 1e-4 * WaterProperties.DiffusionFactor(298.15); // creeping water: Sherwood number about 5

    private BedCoefficients Coefficients(
        BedState state,
        double flow,
        double temperature,
        double strength,
        double excessTime
    ) =>
        BedCoefficients.Create(
            state.Bed,
            _ions,
            state.Grid,
            flow,
            _constants(temperature),
            strength,
            excessTime
        );
}
