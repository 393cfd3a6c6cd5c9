namespace Rinsewright.Water;

/// <summary>
/// What bench checks tell of a meter's gain and offset at any instant, before, between and after them: a forward and a
/// backward filter over the checks, joined at the instant (key <c>bishop2006</c>, 13.3). Exact for the drift assumed.
/// Immutable. See docs/models/meter.md.
/// </summary>
public sealed class MeterHistory
{
    private readonly MeterDrift _drift;
    private readonly (DateTimeOffset At, BenchCheck Check)[] _checks;
    private readonly MeterCalibration[] _fromEarlier;
    private readonly MeterCalibration[] _fromLater;

    /// <summary>Takes the checks of one meter, in any order.</summary>
    /// <param name="drift">How the meter wanders.</param>
    /// <param name="checks">The checks with their instants.</param>
    public MeterHistory(MeterDrift drift, IEnumerable<(DateTimeOffset At, BenchCheck Check)> checks)
    {
        _drift = drift;
        _checks = [.. checks.OrderBy(c => c.At)];
        _fromEarlier = new MeterCalibration[_checks.Length];
        _fromLater = new MeterCalibration[_checks.Length];
        for (int i = 0; i < _checks.Length; i++)
        {
            _fromEarlier[i] = Before(i, _checks[i].At).After(_checks[i].Check);
        }

        for (int i = _checks.Length - 1; i >= 0; i--)
        {
            _fromLater[i] = From(i + 1, _checks[i].At).After(_checks[i].Check);
        }
    }

    /// <summary>The checks, oldest first.</summary>
    public IReadOnlyList<(DateTimeOffset At, BenchCheck Check)> Checks => _checks;

    /// <summary>What is known of the meter at an instant, from all checks.</summary>
    /// <param name="instant">The instant.</param>
    public MeterCalibration At(DateTimeOffset instant)
    {
        int later = 0;
        for (int end = _checks.Length; later < end; )
        {
            int middle = (later + end) / 2;
            if (_checks[middle].At <= instant)
            {
                later = middle + 1;
            }
            else
            {
                end = middle;
            }
        }

        return _drift.Join(Before(later, instant), From(later, instant));
    }

    /// <summary>
    /// How far one of these checks lies from what all the others foretell, in standard deviations [-]. One gross error
    /// makes its neighbours surprising as well: judge the most surprising one first, and the rest without it.
    /// </summary>
    /// <param name="check">Position of the check in <see cref="Checks"/>.</param>
    public double Surprise(int check)
    {
        (DateTimeOffset at, BenchCheck seen) = _checks[check];
        return Surprise(_drift.Join(Before(check, at), From(check + 1, at)), seen);
    }

    /// <summary>How far a check that is not one of these lies from what these foretell, in standard deviations [-].</summary>
    /// <param name="at">When it was made.</param>
    /// <param name="seen">The check.</param>
    public double Surprise(DateTimeOffset at, BenchCheck seen) => Surprise(At(at), seen);

    private static double Surprise(MeterCalibration others, BenchCheck seen)
    {
        double carried = others.Gain * seen.ReferenceUncertainty;
        NormalEstimate foretold = others.Predict(
            seen.Reference,
            Math.Sqrt(seen.ReadingUncertainty * seen.ReadingUncertainty + carried * carried)
        );
        return (seen.Reading - foretold.Mean) / foretold.StandardDeviation; // eq. meter-4
    }

    private MeterCalibration Before(int check, DateTimeOffset instant) =>
        check == 0 ? _drift.Unchecked : _drift.Away(_fromEarlier[check - 1], instant - _checks[check - 1].At);

    private MeterCalibration From(int check, DateTimeOffset instant) =>
        check == _checks.Length
            ? _drift.Unchecked
            : _drift.Away(_fromLater[check], _checks[check].At - instant);
}
