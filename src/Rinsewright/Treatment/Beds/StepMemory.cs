namespace Rinsewright.Treatment.Beds;

/// <summary>
/// What has left a series in the last steps: from it the error of a step is judged, as the distance between the water that
/// leaves and the straight line through the two waters before, over the larger of each ion's feed and its peak so far.
/// </summary>
internal sealed class StepMemory
{
    private double[] _scale = [];
    private double[] _last = [];
    private double[] _before = [];
    private double _lastStep;
    private int _known;

    /// <summary>Starts to judge by another feed; the ions may have become more.</summary>
    /// <param name="ions">The ions of the run.</param>
    /// <param name="feed">The feed [mol/m³], one for each ion.</param>
    public void Feed(BedIons ions, ReadOnlySpan<double> feed)
    {
        double strongest = 1e-6;
        foreach (double c in feed)
        {
            strongest = Math.Max(strongest, c);
        }

        _scale = new double[ions.Count];
        for (int i = 0; i < feed.Length; i++)
        {
            _scale[i] = Math.Max(feed[i], 1e-3 * strongest);
        }

        _last = new double[ions.Count];
        _before = new double[ions.Count];
        Forget();
    }

    /// <summary>Forgets the waters before, after a rest or a change.</summary>
    public void Forget() => _known = 0;

    /// <summary>Error of a step [-].</summary>
    /// <param name="outlet">Water at the end of the step [mol/m³], one for each ion.</param>
    /// <param name="step">Length of the step [s].</param>
    public double Error(ReadOnlySpan<double> outlet, double step)
    {
        double error = 0;
        double ahead = _known > 1 ? step / _lastStep : 0;
        for (int i = 0; i < outlet.Length; i++)
        {
            double expected = _last[i] + ahead * (_last[i] - _before[i]);
            double miss = _known == 0 ? 0 * outlet[i] : Math.Abs(outlet[i] - expected) / _scale[i];
            error = double.IsNaN(miss) ? double.NaN : Math.Max(error, miss);
        }

        return error;
    }

    /// <summary>Remembers a step.</summary>
    /// <param name="outlet">Water at the end of the step [mol/m³], one for each ion.</param>
    /// <param name="step">Length of the step, 0 for the first water [s].</param>
    public void Accept(ReadOnlySpan<double> outlet, double step)
    {
        (_before, _last) = (_last, _before);
        outlet.CopyTo(_last);
        _lastStep = step;
        _known = Math.Min(_known + 1, 2);
        for (int i = 0; i < outlet.Length; i++)
        {
            _scale[i] = Math.Max(_scale[i], outlet[i]);
        }
    }
}
