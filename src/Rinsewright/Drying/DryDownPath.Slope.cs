using Rinsewright.Water;

namespace Rinsewright.Drying;

/// <content>How the saturation ratios answer to the amounts: measured, scaled, updated, and solved for a step.</content>
internal sealed partial class DryDownPath
{
    private bool MeasureSlope(double factor)
    {
        Span<double> here = stackalloc double[SolidCount];
        _excess.CopyTo(here);
        SlopeScales(_slopeScale);
        for (int s = 0; s < SolidCount; s++)
        {
            for (int r = 0; r < SolidCount; r++)
            {
                _slope[r, s] = r == s ? -1 : 0;
            }

            if (!_present[s])
            {
                continue;
            }

            double nudge = 1e-5 * _slopeScale[s];
            _precipitated.CopyTo(_trial, 0);
            _trial[s] += nudge;
            if (!Evaluate(factor, _trial))
            {
                return false;
            }

            for (int r = 0; r < SolidCount; r++)
            {
                _slope[r, s] = _present[r] ? (_excess[r] - here[r]) / nudge : 0;
            }
        }

        here.CopyTo(_excess);
        _slopeIsKnown = true;
        _fresh = true;
        return true;
    }

    /// <summary>A slope is inversely as what is left of the scarcest partner of its solid.</summary>
    private void ScaleSlope()
    {
        if (!_slopeIsKnown)
        {
            return;
        }

        Span<double> now = stackalloc double[SolidCount];
        SlopeScales(now);
        for (int s = 0; s < SolidCount; s++)
        {
            for (int r = 0; r < SolidCount; r++)
            {
                _slope[r, s] *= _present[r] ? _slopeScale[s] / now[s] : 1;
            }
        }

        now.CopyTo(_slopeScale);
        _fresh = false;
    }

    private void SlopeScales(Span<double> scale)
    {
        double calcium = Left(Component.Calcium, _precipitated);
        scale[0] = Math.Max(
            double.Epsilon,
            Math.Min(calcium, 0.5 * Math.Abs(_alkalinity - (2 * _precipitated[0])))
        );
        scale[1] = Math.Max(double.Epsilon, Math.Min(calcium, Left(Component.Sulfate, _precipitated)));
        scale[2] = Math.Max(double.Epsilon, Left(Component.Silica, _precipitated));
    }

    /// <summary>Broyden's update with the step taken.</summary>
    private void UpdateSlope(ReadOnlySpan<double> before, ReadOnlySpan<double> step, double length)
    {
        double square = 0;
        foreach (double s in step)
        {
            square += length * s * length * s;
        }

        for (int r = 0; r < SolidCount; r++)
        {
            double predicted = before[r];
            for (int s = 0; s < SolidCount; s++)
            {
                predicted += _slope[r, s] * length * step[s];
            }

            for (int s = 0; s < SolidCount; s++)
            {
                _slope[r, s] += _present[r] ? (_excess[r] - predicted) * length * step[s] / square : 0;
            }
        }

        _fresh = false;
    }

    /// <summary>Newton step by Gaussian elimination with row exchange; zero for absent solids.</summary>
    private void SolveStep(Span<double> step)
    {
        Span<double> a = stackalloc double[SolidCount * (SolidCount + 1)];
        const int width = SolidCount + 1;
        for (int r = 0; r < SolidCount; r++)
        {
            for (int s = 0; s < SolidCount; s++)
            {
                a[(r * width) + s] = _present[r] && _present[s] ? _slope[r, s] : (r == s ? -1 : 0);
            }

            a[(r * width) + SolidCount] = _present[r] ? -_excess[r] : 0;
        }

        for (int p = 0; p < SolidCount; p++)
        {
            int best = p;
            for (int r = p + 1; r < SolidCount; r++)
            {
                best = Math.Abs(a[(r * width) + p]) > Math.Abs(a[(best * width) + p]) ? r : best;
            }

            for (int c = 0; c < width; c++)
            {
                (a[(p * width) + c], a[(best * width) + c]) = (a[(best * width) + c], a[(p * width) + c]);
            }

            for (int r = p + 1; r < SolidCount; r++)
            {
                double ratio = a[(r * width) + p] / a[(p * width) + p];
                for (int c = p; c < width; c++)
                {
                    a[(r * width) + c] -= ratio * a[(p * width) + c];
                }
            }
        }

        for (int r = SolidCount - 1; r >= 0; r--)
        {
            double sum = a[(r * width) + SolidCount];
            for (int c = r + 1; c < SolidCount; c++)
            {
                sum -= a[(r * width) + c] * step[c];
            }

            step[r] = sum / a[(r * width) + r];
        }
    }

    private static double Norm(ReadOnlySpan<double> excess)
    {
        double most = 0;
        foreach (double e in excess)
        {
            most = Math.Max(most, Math.Abs(e));
        }

        return most;
    }
}
