using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <summary>Keeps count of every component that goes into a series of beds, comes out of it and sits on its resins.</summary>
internal sealed class BedBalance
{
    private readonly double[] _in = new double[IonCatalog.ComponentCount];
    private readonly double[] _out = new double[IonCatalog.ComponentCount];
    private readonly double[] _held = new double[IonCatalog.ComponentCount];

    /// <summary>Takes what the resins hold at the start as given.</summary>
    public void Start(IEnumerable<BedState> states)
    {
        foreach (BedState state in states)
        {
            Added(state);
        }
    }

    /// <summary>Water has passed the series.</summary>
    /// <param name="component">The component.</param>
    /// <param name="fed">What it brought [mol].</param>
    /// <param name="left">What it took away [mol].</param>
    public void Passed(Component component, double fed, double left)
    {
        _in[(int)component] += fed;
        _out[(int)component] += left;
    }

    /// <summary>The water in a bed stays there at the start of a rest.</summary>
    public void LeftStanding(BedState state) => Count(state, _in);

    /// <summary>The water in a bed after a rest counts as gone.</summary>
    public void FlushedOut(BedState state) => Count(state, _out);

    /// <summary>A bed has come into the series.</summary>
    public void Added(BedState state) => Hold(state, 1);

    /// <summary>A bed's fill has been taken out of the series.</summary>
    public void Removed(BedState state) => Hold(state, -1);

    /// <summary>Largest imbalance of an ion over all equivalents handled [-].</summary>
    public double Error(IReadOnlyCollection<BedState> states)
    {
        double worst = 0;
        double handled = 0;
        foreach (Component component in Enum.GetValues<Component>())
        {
            int i = (int)component;
            double charge = Math.Abs(BedIons.ExchangedForm(component).Charge);
            double held = states.Sum(s => s.Held(component));
            worst = Math.Max(worst, charge * Math.Abs(_held[i] + _in[i] - _out[i] - held));
            handled += charge * (_in[i] + Math.Abs(_held[i]));
        }

        return handled > 0 ? worst / handled : 0;
    }

    private static void Count(BedState state, double[] amounts)
    {
        for (int i = 0; i < state.Ions.Count; i++)
        {
            amounts[(int)state.Ions.Components[i]] += state.PoreAmount(i);
        }
    }

    private void Hold(BedState state, int sign)
    {
        foreach (Component component in Enum.GetValues<Component>())
        {
            _held[(int)component] += sign * state.Held(component);
        }
    }
}
