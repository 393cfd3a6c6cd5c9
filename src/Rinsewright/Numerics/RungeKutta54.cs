namespace Rinsewright.Numerics;

/// <summary>
/// Explicit Runge–Kutta pair of orders 5 and 4 for systems of ordinary differential equations that are not stiff
/// (Dormand and Prince 1980, key <c>dormand1980</c>).
/// </summary>
internal sealed class RungeKutta54
{
    // csharpier-ignore
    private static readonly double[][] A =
    [
        [],
        [1.0 / 5],
        [3.0 / 40, 9.0 / 40],
        [44.0 / 45, -56.0 / 15, 32.0 / 9],
        [19372.0 / 6561, -25360.0 / 2187, 64448.0 / 6561, -212.0 / 729],
        [9017.0 / 3168, -355.0 / 33, 46732.0 / 5247, 49.0 / 176, -5103.0 / 18656],
        [35.0 / 384, 0, 500.0 / 1113, 125.0 / 192, -2187.0 / 6784, 11.0 / 84],
    ];

    private static readonly double[] C = [0, 1.0 / 5, 3.0 / 10, 4.0 / 5, 8.0 / 9, 1, 1];

    // csharpier-ignore
    private static readonly double[] ErrorWeights =
    [
        71.0 / 57600, 0, -71.0 / 16695, 71.0 / 1920, -17253.0 / 339200, 22.0 / 525, -1.0 / 40,
    ];

    private readonly Derivative _derivative;
    private readonly double[][] _k;
    private readonly double[] _stage;

    /// <summary>A stepper for one system.</summary>
    /// <param name="dimension">Number of unknowns [-].</param>
    /// <param name="derivative">The right-hand side.</param>
    public RungeKutta54(int dimension, Derivative derivative)
    {
        _derivative = derivative;
        _k = [.. Enumerable.Range(0, 7).Select(_ => new double[dimension])];
        _stage = new double[dimension];
    }

    /// <summary>Right-hand side of the system.</summary>
    /// <param name="time">Independent variable [-], in its own unit.</param>
    /// <param name="state">The unknowns [-], as many as the dimension.</param>
    /// <param name="rate">Their derivatives [-], as many as the dimension.</param>
    public delegate void Derivative(double time, ReadOnlySpan<double> state, Span<double> rate);

    /// <summary>
    /// One step of fifth order. Returns the largest error of any unknown, in units of its tolerance; a step is to be
    /// refused above 1.
    /// </summary>
    /// <param name="time">Start of the step [-].</param>
    /// <param name="step">Length of the step [-].</param>
    /// <param name="state">The unknowns at the start [-], as many as the dimension.</param>
    /// <param name="next">The unknowns at the end [-], as many as the dimension.</param>
    /// <param name="tolerance">Error allowed in each unknown [-]; those after its end are not judged.</param>
    public double Step(
        double time,
        double step,
        ReadOnlySpan<double> state,
        Span<double> next,
        ReadOnlySpan<double> tolerance
    )
    {
        for (int s = 0; s < 7; s++)
        {
            state.CopyTo(_stage);
            for (int j = 0; j < s; j++)
            {
                double weight = step * A[s][j];
                double[] slope = _k[j];
                for (int i = 0; i < _stage.Length; i++)
                {
                    _stage[i] += weight * slope[i];
                }
            }

            if (s == 6)
            {
                _stage.CopyTo(next);
            }

            _derivative(time + (C[s] * step), _stage, _k[s]);
        }

        double worst = 0;
        for (int i = 0; i < tolerance.Length; i++)
        {
            double error = 0;
            for (int s = 0; s < 7; s++)
            {
                error += ErrorWeights[s] * _k[s][i];
            }

            worst = Math.Max(worst, Math.Abs(step * error) / tolerance[i]);
        }

        return worst;
    }
}
