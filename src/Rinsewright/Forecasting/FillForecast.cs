using System.Collections.Immutable;
using Rinsewright.Numerics;
using Rinsewright.Treatment;

namespace Rinsewright.Forecasting;

/// <summary>What is left of a fill to one line.</summary>
/// <param name="Line">The line.</param>
/// <param name="LitersLeft">Logged litres left, 0 when the line is passed, of equal weight, ascending [L].</param>
/// <param name="WeeksLeft">Weeks left at the expected rate and its scatter, ascending [week].</param>
/// <param name="PassedNow">Probability that the line is passed now [-].</param>
public sealed record LineOutlook(
    ChangeOutLine Line,
    ImmutableArray<double> LitersLeft,
    ImmutableArray<double> WeeksLeft,
    double PassedNow
) : StageOutlook(LitersLeft, WeeksLeft, PassedNow);

/// <summary>A reading that could be taken next, and how much it would narrow the answer.</summary>
/// <param name="Name">The reading.</param>
/// <param name="Narrows">Share of the variance of the litres left that it is expected to take away [-].</param>
public sealed record NextReading(string Name, double Narrows);

/// <summary>When to change a fill at the least expected cost for each litre over its whole life (key <c>barlow1965</c>).</summary>
/// <param name="LitersFromNow">Litres still to draw before the change [L]; 0 for now, infinite when waiting is always cheaper.</param>
/// <param name="CostNow">Expected cost of a litre when it is changed now [money/L].</param>
/// <param name="CostThen">Expected cost of a litre when it is changed then, or never [money/L].</param>
public sealed record ChangeAdvice(double LitersFromNow, double CostNow, double CostThen);

/// <summary>Answers about one fill, from what its readings have taught.</summary>
public sealed class FillForecast
{
    /// <summary>Name of the model whose numbers these are; it changes when they do, by more than round-off, or when their meaning does.</summary>
    public const string ModelVersion = "2";

    private readonly FillPosterior _posterior;
    private readonly FillCase _case;
    private readonly int _seed;

    private FillForecast(FillCase fill, FillPosterior posterior, int seed)
    {
        _case = fill;
        _posterior = posterior;
        _seed = seed;
    }

    /// <summary>Number of members.</summary>
    public int Members => _posterior.Members.Length;

    /// <summary>Logarithm of the marginal likelihood of the readings [-].</summary>
    public double LogEvidence => _posterior.LogEvidence;

    /// <summary>Posterior mean and standard deviation of the logarithm of the stretch [-], for the rig's later fills.</summary>
    public (double Mean, double Sd) Stretch =>
        MeanAndSd(_posterior.Members.Select(m => m.Values[Unknowns.Stretch]));

    /// <summary>The by-pass [-].</summary>
    public Band Bypass => Band.Of(_posterior.Members.Select(m => m.Bypassed));

    /// <summary>True conductance of the source now [µS/cm at 25 °C].</summary>
    public Band SourceNow =>
        Band.Of(_posterior.Members.Select(m => _posterior.Model.TruthNow(m, ReadingSide.Inlet)));

    /// <summary>True conductance of the water that leaves now [µS/cm at 25 °C].</summary>
    public Band OutletNow =>
        Band.Of(_posterior.Members.Select(m => _posterior.Model.TruthNow(m, ReadingSide.Outlet)));

    /// <summary>
    /// True conductance of the water that leaves on a day of the fill: as the log has it up to now, from now on at the expected
    /// use and its spread [µS/cm at 25 °C].
    /// </summary>
    /// <param name="days">Days since the fill went in [d].</param>
    public Band OutletAt(double days)
    {
        ReadingModel model = _posterior.Model;
        if (days <= _case.Now)
        {
            ReadingModel.Moment then = ReadingModel.MomentAt(_case, days);
            return Band.Of(_posterior.Members.Select(m => model.Truth(m, then, ReadingSide.Outlet)));
        }

        // The same stream for every day, so that each member keeps its rate.
        var random = new Random(_seed);
        return Band.Of(
            _posterior.Members.Select(m =>
                model.Truth(m, model.Now.After(days, RateOf(random) / DaysPerWeek), ReadingSide.Outlet)
            )
        );
    }

    /// <summary>Gain and offset of a meter [-] and [µS/cm].</summary>
    /// <param name="meter">Place of the meter in the case.</param>
    public (Band Gain, Band Offset) Meter(int meter) =>
        (
            Band.Of(_posterior.Members.Select(m => m.Gain(meter))),
            Band.Of(_posterior.Members.Select(m => m.Offset(meter)))
        );

    /// <summary>Forecasts a fill.</summary>
    /// <param name="fill">The fill.</param>
    /// <param name="library">Lives of the rig that it stands in.</param>
    /// <param name="members">Number of members.</param>
    /// <param name="seed">Seed of the random stream; the same seed gives the same answers.</param>
    /// <exception cref="InvalidOperationException">The readings could not be taken into account in full.</exception>
    public static FillForecast Of(FillCase fill, LifeLibrary library, int members, int seed) =>
        new(fill, FillPosterior.Of(fill, library.Lives, members, seed), seed);

    /// <summary>The same fill with more readings behind those already counted.</summary>
    /// <param name="fill">The fill as it is now.</param>
    /// <exception cref="InvalidOperationException">The readings could not be taken into account in full.</exception>
    public FillForecast With(FillCase fill) => new(fill, _posterior.With(fill), _seed + 1);

    /// <summary>What is left to a line.</summary>
    /// <param name="line">The line, drawn on the true water, not on what a meter shows.</param>
    /// <param name="meterFactor">Factor from conductivity to TDS for lines in ppm [-].</param>
    public LineOutlook To(ChangeOutLine line, double meterFactor)
    {
        var outlook = StageOutlook.Of(LitersLeft(line, meterFactor), _case.Usage, _seed);
        return new LineOutlook(line, outlook.LitersLeft, outlook.WeeksLeft, outlook.PassedNow);
    }

    /// <summary>What reading would tell most about the litres left to a line, best first.</summary>
    /// <param name="line">The line.</param>
    /// <param name="meterFactor">Factor from conductivity to TDS for lines in ppm [-].</param>
    /// <param name="resolution">Smallest step of the meter [µS/cm].</param>
    public ImmutableArray<NextReading> WorthReading(ChangeOutLine line, double meterFactor, double resolution)
    {
        double[] left = [.. LitersLeft(line, meterFactor).Select(l => double.IsInfinity(l) ? 1e7 : l)];
        var random = new Random(_seed);
        ReadingModel model = _posterior.Model;
        double[] Shown(ReadingSide side) =>
            [
                .. _posterior.Members.Select(m =>
                    ReadingModel.Draw(
                        m.Gain(0) * model.TruthNow(m, side) + m.Offset(0),
                        resolution,
                        model.Lives[m.Life].Feed.Conductivity25,
                        random
                    )
                ),
            ];
        double[] check =
        [
            .. _posterior.Members.Select(m =>
                m.Gain(0) * BenchSolution + m.Offset(0) + NormalDistribution.Draw(random)
            ),
        ];
        return
        [
            .. (
                (NextReading[])
                    [
                        new NextReading("outlet", Narrowing(left, Shown(ReadingSide.Outlet))),
                        new NextReading("inlet", Narrowing(left, Shown(ReadingSide.Inlet))),
                        new NextReading("bench check", Narrowing(left, check)),
                    ]
            ).OrderByDescending(n => n.Narrows),
        ];
    }

    /// <summary>When to change at the least expected cost.</summary>
    /// <param name="line">The line past which washes spot.</param>
    /// <param name="meterFactor">Factor from conductivity to TDS for lines in ppm [-].</param>
    /// <param name="fillCost">Cost of a fill and of changing it [money].</param>
    /// <param name="spotCostPerLiter">Cost of each litre used past the line [money/L].</param>
    public ChangeAdvice WhenToChange(
        ChangeOutLine line,
        double meterFactor,
        double fillCost,
        double spotCostPerLiter
    )
    {
        double[] left = LitersLeft(line, meterFactor);
        double used = Math.Max(_case.LoggedLiters, 1);
        double Cost(double more) =>
            (fillCost + spotCostPerLiter * left.Average(l => Math.Max(more - Math.Max(l, 0), 0)))
            / (used + more); // eq. forecast-7
        double best = 0;
        double cost = Cost(0);
        double[] candidates = [.. left.Where(l => l > 0 && double.IsFinite(l)).Order()];
        foreach (double candidate in candidates)
        {
            double here = Cost(candidate);
            (best, cost) = here < cost ? (candidate, here) : (best, cost);
        }

        double forEver = spotCostPerLiter * left.Count(double.IsFinite) / left.Length; // eq. forecast-7, x → ∞
        (best, cost) = forEver < cost ? (double.PositiveInfinity, forEver) : (best, cost);
        return new ChangeAdvice(best, Cost(0), cost);
    }

    /// <summary>Possible causes of the last reading at the outlet, the most probable first.</summary>
    public ImmutableArray<Explanation> Explain() => Explanations.Of(_case, _posterior, _seed);

    private const double BenchSolution = 84; // [µS/cm], a usual potassium chloride standard
    private const int Bins = 20;
    private const double DaysPerWeek = 7;

    /// <summary>Share of the variance of a quantity that another tells of it, by means within bins of equal count.</summary>
    private static double Narrowing(double[] quantity, double[] told)
    {
        double[] sorted = [.. quantity.Zip(told).OrderBy(p => p.Second).Select(p => p.First)];
        double mean = sorted.Average();
        double total = sorted.Average(q => (q - mean) * (q - mean));
        if (total == 0)
        {
            return 0;
        }

        double within = 0;
        int size = Math.Max(sorted.Length / Bins, 2);
        for (int start = 0; start < sorted.Length; start += size)
        {
            ReadOnlySpan<double> bin = sorted.AsSpan(start, Math.Min(size, sorted.Length - start));
            double sum = 0;
            double squares = 0;
            foreach (double q in bin)
            {
                sum += q;
                squares += q * q;
            }

            double variance = Math.Max(squares - sum * sum / bin.Length, 0);
            within += bin.Length > 1 ? variance * bin.Length / (bin.Length - 1) : 0;
        }

        return Math.Clamp(1 - within / sorted.Length / total, 0, 1);
    }

    private static (double Mean, double Sd) MeanAndSd(IEnumerable<double> values)
    {
        double[] all = [.. values];
        double mean = all.Average();
        return (mean, Math.Sqrt(all.Sum(v => (v - mean) * (v - mean)) / Math.Max(all.Length - 1, 1)));
    }

    /// <summary>Logged litres from now to a line; negative when it is passed.</summary>
    private double[] LitersLeft(ChangeOutLine line, double meterFactor)
    {
        ReadingModel model = _posterior.Model;
        return
        [
            .. _posterior.Members.Select(m =>
            {
                double strength = model.StrengthNow(m);
                ChangeOutLine atUsual = line with { Value = line.Value / strength };
                double at = model.Lives[m.Life].Reaches(atUsual, meterFactor, m.Bypassed);
                return (at - model.PassedNow(m)) / (m.Stretched * strength); // eq. forecast-4
            }),
        ];
    }

    /// <summary>A weekly rate that the use may turn out to have [L/week].</summary>
    private double RateOf(Random random) =>
        _case.Usage.LitersPerWeek * Math.Exp(_case.Usage.RelativeSd * NormalDistribution.Draw(random));
}
