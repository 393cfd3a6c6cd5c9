using Rinsewright.Quantities;

namespace Rinsewright.Treatment.Beds;

/// <summary>A feed, a flow and a temperature, with the coefficients of every bed for them and the step they allow.</summary>
internal sealed class Conditions(
    double[] totals,
    Temperature temperature,
    double flow,
    double[] feed,
    BedCoefficients[] beds,
    double referenceTime
)
{
    private const double RungsPerOctave = 4;

    /// <summary>Totals of the feed by component [mol/m³].</summary>
    public double[] Totals { get; } = totals;

    /// <summary>Flow through the series [m³/s].</summary>
    public double Flow { get; } = flow;

    /// <summary>Feed, by the ions of the run [mol/m³].</summary>
    public double[] Feed { get; } = feed;

    public BedCoefficients[] Beds { get; } = beds;

    /// <summary>Time in which the feed brings what the first-exhausted resins hold [s].</summary>
    public double ReferenceTime { get; } = referenceTime;

    /// <summary>Longest step allowed [s].</summary>
    public double LongestStep { get; init; }

    /// <summary>Step to try next [s].</summary>
    public double NextStep { get; set; }

    /// <summary>Water that enters the bed being marched [mol/m³].</summary>
    public double[] Inlet { get; } = new double[feed.Length];

    /// <summary>Water that leaves the last bed marched [mol/m³].</summary>
    public double[] Outlet { get; } = new double[feed.Length];

    /// <summary>Water that left the series in the first stage of a step [mol/m³].</summary>
    public double[] FirstOutlet { get; } = new double[feed.Length];

    /// <summary>
    /// The next shorter step of a ladder of fixed steps. On it, round-off in the error of a step cannot grow into other steps
    /// and so into another curve.
    /// </summary>
    /// <param name="step">The step that the error allows [s].</param>
    public double Rung(double step) =>
        LongestStep
        * Math.Pow(2, Math.Floor(RungsPerOctave * Math.Log2(step / LongestStep)) / RungsPerOctave);

    public bool Matches(
        ReadOnlySpan<double> otherTotals,
        Temperature otherTemperature,
        VolumeFlow otherFlow
    ) =>
        otherFlow.CubicMetersPerSecond == Flow
        && otherTemperature == temperature
        && otherTotals.SequenceEqual(Totals);
}
