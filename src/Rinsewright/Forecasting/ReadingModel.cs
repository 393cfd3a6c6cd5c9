using System.Collections.Immutable;
using Rinsewright.Numerics;

namespace Rinsewright.Forecasting;

/// <summary>
/// How probable a fill's readings are for given unknowns. Rounding and <c>&lt;</c> are intervals; one reading in twenty may be
/// a slip: half of the slips scatter about the truth with the tails of a Cauchy distribution, half lie anywhere up to twice
/// the source, so that nonsense costs little wherever it lies.
/// </summary>
internal sealed class ReadingModel
{
    private const double RelativeScatter = 0.04; // of meter, dipping and model together; our choice
    private const double LeastScatter = 0.6; // [µS/cm]; our choice
    private const double LeastStep = 1e-3; // [µS/cm]
    private const double SlipShare = 0.05;
    private const double SlipScatter = 3;
    private const double NonsenseReach = 2; // of the source
    private const double NarrowStep = 0.3; // of a scatter: the density hardly bends over it
    private const double DaysPerYear = 365.25;
    private const double LeastStrength = 0.2;

    private readonly FillReading[] _readings;
    private readonly Moment[] _at;

    public ReadingModel(FillCase fill, ImmutableArray<Life> lives)
    {
        Lives = lives;
        _readings = [.. fill.Readings.OrderBy(r => r.Days)];
        _at = [.. _readings.Select(r => MomentAt(fill, r.Days))];
        Now = MomentAt(fill, fill.Now);
    }

    public ImmutableArray<Life> Lives { get; }

    public int Count => _readings.Length;

    /// <summary>The moment of asking.</summary>
    public Moment Now { get; }

    /// <summary>Logarithm of the probability of the readings from one on [-].</summary>
    public double LogLikelihood(Unknowns unknowns, int first = 0, int? end = null)
    {
        double sum = 0;
        for (int i = first; i < (end ?? _readings.Length); i++)
        {
            sum += LogProbability(
                _readings[i],
                Expected(unknowns, i),
                Lives[unknowns.Life].Feed.Conductivity25
            );
        }

        return sum;
    }

    /// <summary>What a reading's meter should show [µS/cm].</summary>
    public double Expected(Unknowns unknowns, int reading)
    {
        FillReading read = _readings[reading];
        double truth = Truth(unknowns, _at[reading], read.Side);
        return unknowns.Gain(read.Meter) * truth + unknowns.Offset(read.Meter);
    }

    /// <summary>Conductance of the water at 25 °C, at the moment of asking [µS/cm].</summary>
    public double TruthNow(Unknowns unknowns, ReadingSide side) => Truth(unknowns, Now, side);

    /// <summary>Water that has passed by now, at the strength of the life's feed [L].</summary>
    public double PassedNow(Unknowns unknowns) => Passed(unknowns, Now);

    /// <summary>Strength of the source now over the life's feed [-].</summary>
    public double StrengthNow(Unknowns unknowns) => Now.Strength * Drifted(unknowns, Now.Days);

    /// <summary>Logarithm of the probability that a meter shows what it showed [-].</summary>
    /// <param name="read">What it showed.</param>
    /// <param name="expected">What it should show [µS/cm].</param>
    /// <param name="source">Conductance of the source [µS/cm].</param>
    public static double LogProbability(FillReading read, double expected, double source) =>
        LogProbability(
            read.Shown,
            Math.Max(read.Resolution, LeastStep),
            read.IsBelow,
            expected,
            Scatter(expected),
            NonsenseReach * source
        );

    /// <summary>Logarithm of the probability that any instrument shows what it showed [-]; all in one unit.</summary>
    /// <param name="shown">What it showed; the limit when <paramref name="isBelow"/>.</param>
    /// <param name="step">Smallest step of the display, above 0.</param>
    /// <param name="isBelow">Whether it said only that the value is below.</param>
    /// <param name="expected">What it should show.</param>
    /// <param name="sd">Scatter about that.</param>
    /// <param name="most">The most that nonsense shows.</param>
    public static double LogProbability(
        double shown,
        double step,
        bool isBelow,
        double expected,
        double sd,
        double most
    )
    {
        double low = isBelow ? double.NegativeInfinity : shown - 0.5 * step;
        double high = isBelow ? shown : shown + 0.5 * step;
        double usual = Between(low, high, expected, sd);
        double near =
            Cauchy((high - expected) / (SlipScatter * sd)) - Cauchy((low - expected) / (SlipScatter * sd));
        double anywhere = Math.Max(Math.Min(high, most) - Math.Max(low, 0), 0) / most;
        double slip = 0.5 * (near + anywhere);
        return Math.Log(Math.Max((1 - SlipShare) * usual + SlipShare * slip, 1e-300)); // eq. forecast-3
    }

    /// <summary>A reading that the meter might give [µS/cm].</summary>
    public static double Draw(double expected, double resolution, double source, Random random)
    {
        double sd = Scatter(expected);
        double shown = expected + sd * NormalDistribution.Draw(random);
        if (random.NextDouble() < SlipShare)
        {
            shown =
                random.NextDouble() < 0.5
                    ? expected + SlipScatter * sd * Math.Tan(Math.PI * (random.NextDouble() - 0.5))
                    : NonsenseReach * source * random.NextDouble();
        }

        return Math.Max(resolution > 0 ? resolution * Math.Round(shown / resolution) : shown, 0);
    }

    private static double Cauchy(double x) => 0.5 + Math.Atan(x) / Math.PI;

    private static double Scatter(double expected) =>
        Math.Sqrt(RelativeScatter * expected * RelativeScatter * expected + LeastScatter * LeastScatter);

    private static double Between(double low, double high, double mean, double sd)
    {
        double to = (high - mean) / sd;
        if (double.IsNegativeInfinity(low))
        {
            return NormalDistribution.Probability(to);
        }

        double from = (low - mean) / sd;
        double width = to - from;
        if (width < NarrowStep)
        {
            return width * NormalDistribution.Density(0.5 * (from + to));
        }

        return from > 0
            ? NormalDistribution.Probability(-from) - NormalDistribution.Probability(-to)
            : NormalDistribution.Probability(to) - NormalDistribution.Probability(from);
    }

    private static double Drifted(Unknowns unknowns, double days) =>
        Math.Max(1 + unknowns.Values[Unknowns.Drift] * days / DaysPerYear, LeastStrength);

    /// <summary>Conductance of the water at 25 °C at a moment [µS/cm].</summary>
    public double Truth(Unknowns unknowns, Moment at, ReadingSide side)
    {
        Life life = Lives[unknowns.Life];
        double strength = at.Strength * Drifted(unknowns, at.Days);
        double feed = life.Feed.Conductivity25;
        if (side is ReadingSide.Inlet)
        {
            return strength * feed;
        }

        double bypass = unknowns.Bypassed;
        double leaving = life.Conductance((1 - bypass) * Passed(unknowns, at));
        return strength * ((1 - bypass) * leaving + bypass * feed); // eq. forecast-2
    }

    private static double Passed(Unknowns unknowns, Moment at) =>
        Math.Max(unknowns.Stretched * (at.Load + unknowns.Values[Unknowns.Drift] * at.DriftLoad), 0); // eq. forecast-1

    /// <summary>A moment up to that of asking, as the log has it.</summary>
    public static Moment MomentAt(FillCase fill, double days)
    {
        double load = 0;
        double drift = 0;
        double strength = 1;
        foreach (LoggedDraw draw in fill.Draws)
        {
            if (draw.Days > days)
            {
                break;
            }

            load += draw.Strength * draw.Liters;
            drift += draw.Strength * draw.Liters * draw.Days / DaysPerYear;
            strength = draw.Strength;
        }

        return new Moment(days, load, drift, strength);
    }

    /// <summary>A moment of a fill, and what its log amounts to by then.</summary>
    /// <param name="Days">Days since it went in [d].</param>
    /// <param name="Load">Logged water, weighted by strength [L].</param>
    /// <param name="DriftLoad">The part of it that drift multiplies [L].</param>
    /// <param name="Strength">Strength of the source over its usual strength [-].</param>
    [System.Runtime.InteropServices.StructLayout(System.Runtime.InteropServices.LayoutKind.Auto)]
    public readonly record struct Moment(double Days, double Load, double DriftLoad, double Strength)
    {
        /// <summary>A later moment, with so much water a day drawn until then [L/d].</summary>
        public Moment After(double days, double perDay)
        {
            double load = Strength * perDay * (days - Days);
            return this with
            {
                Days = days,
                Load = Load + load,
                DriftLoad = DriftLoad + (load * 0.5 * (Days + days) / DaysPerYear),
            };
        }
    }
}
