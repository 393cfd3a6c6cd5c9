namespace Rinsewright.Forecasting;

/// <summary>
/// What a forecast has to find out about one fill: which of the simulated lives it lives, and on top of it the numbers that
/// change what a life looks like without another simulation (docs/models/forecast.md).
/// </summary>
internal sealed class Unknowns
{
    /// <summary>Place of the logarithm of the stretch in <see cref="Values"/>.</summary>
    public const int Stretch = 0;

    /// <summary>Place of the logarithm of the by-pass.</summary>
    public const int Bypass = 1;

    /// <summary>Place of the drift of the source's strength [1/a].</summary>
    public const int Drift = 2;

    /// <summary>Place of the first meter's gain (logarithm) and offset; the others follow.</summary>
    public const int FirstMeter = 3;

    private const double MostBypass = 0.3;

    public required int Life { get; init; }

    public required double[] Values { get; init; }

    public double Bypassed => Math.Min(Math.Exp(Values[Bypass]), MostBypass);

    /// <summary>Water that passed for each litre of weighted log [-].</summary>
    public double Stretched => Math.Exp(Values[Stretch]);

    public double Gain(int meter) => Math.Exp(Values[FirstMeter + 2 * meter]);

    public double Offset(int meter) => Values[FirstMeter + 2 * meter + 1];
}
