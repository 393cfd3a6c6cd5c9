using System.Collections.Immutable;
using Rinsewright.Quantities;

namespace Rinsewright.Forecasting;

/// <summary>A possible cause of a reading.</summary>
/// <param name="Cause">The cause.</param>
/// <param name="Probability">Its probability among the causes considered [-].</param>
/// <param name="Evidence">What speaks for or against it.</param>
/// <param name="Test">A test that a person can do at the tap.</param>
public sealed record Explanation(Sentence Cause, double Probability, Sentence Evidence, Sentence Test)
{
    /// <summary>Whether nothing is odd: the readings before it led to about this one.</summary>
    public bool IsAsExpected => Cause.Equals(Explanations.AsExpected);
}

/// <summary>
/// Weighs causes of the last reading at the outlet: how probable the reading is under each, over everything that the readings
/// before it have left open, times how common the cause is in such circumstances (our choice, docs/models/forecast.md).
/// </summary>
internal static class Explanations
{
    private const double AirSaturated = 1.1; // [µS/cm], water in equilibrium with the carbon dioxide of the air

    internal static readonly Sentence AsExpected = Sentence.Of("as expected");

    private static readonly Cause[] Causes =
    [
        new(
            AsExpected,
            0.5,
            s => s.Show(s.Leaving),
            _ => (1, Sentence.Of("The readings before it led to about this.")),
            Sentence.Of("Nothing: go on, and read again when the outlook says so.")
        ),
        new(
            Sentence.Of("anion resin running out"),
            0.07,
            s => s.Show(s.Leaving + s.Above(0.9 * Cube(s.Random))),
            c => (c.AcidShare, Sentence.Of($"In {c.AcidShare:P0} of what fits, the anion resin goes first.")),
            Sentence.Of(
                "A pH strip in the outlet below 6 and a silica drop test above the limit say that it is the anion resin."
            )
        ),
        new(
            Sentence.Of("cation resin running out"),
            0.07,
            s => s.Show(s.Leaving + s.Above(0.9 * Cube(s.Random))),
            c =>
                (
                    1 - c.AcidShare,
                    Sentence.Of($"In {1 - c.AcidShare:P0} of what fits, the cation resin goes first.")
                ),
            Sentence.Of(
                "A pH strip in the outlet above 8, or hardness in the outlet by drop test, say that it is the cation resin."
            )
        ),
        new(
            Sentence.Of("slip at high flow"),
            0.08,
            s => s.Show(s.Leaving + s.Above(0.03 * s.Random.NextDouble())),
            c =>
                c.FlowRatio is not { } ratio ? (1, Sentence.Of("The flow was not written down."))
                : ratio > 1.3 ? (3, Sentence.Of($"The flow was {ratio:0.#} times the usual."))
                : (0.3, Sentence.Of("The flow was the usual one or less.")),
            Sentence.Of("Halve the flow, let two litres run, and read again: slip falls with the flow.")
        ),
        new(
            Sentence.Of("by-pass or channelling"),
            0.05,
            s => s.Show(s.Leaving + s.Above(0.3 * s.Random.NextDouble())),
            _ => (1, Sentence.Of("Water that goes round the resin adds a fixed share of the source.")),
            Sentence.Of(
                "Halve the flow and read again: a by-pass keeps its share. Relieve the pressure, then look at the O-rings and whether the resin has settled."
            )
        ),
        new(
            Sentence.Of("carbon dioxide from the air"),
            0.05,
            s => s.Show(s.Leaving + AirSaturated * s.Random.NextDouble()),
            _ =>
                (
                    1,
                    Sentence.Of(
                        "It adds about one µS/cm to very clean water and leaves nothing on the panel."
                    )
                ),
            Sentence.Of("Read in the stream instead of in a cup.")
        ),
        new(
            Sentence.Of("meter offset"),
            0.06,
            s => s.Show(s.Leaving) + 8 * (s.Random.NextDouble() - 0.3),
            _ => (1, Sentence.Of("An offset shows at low readings first.")),
            Sentence.Of(
                "Rinse the meter, read distilled water and then a reference solution, and log both as bench checks."
            )
        ),
        new(
            Sentence.Of("first flush after standing"),
            0.06,
            s => s.Show(FirstFlush(s)),
            c =>
                c.Reading.HoursStanding is not { } hours
                    ? (1, Sentence.Of("It was not written down how long the water had stood."))
                : hours > 4 ? (3, Sentence.Of($"The water had stood for {hours:0} hours."))
                : (0.2, Sentence.Of("The water had not stood.")),
            Sentence.Of("Run five litres to waste and read again.")
        ),
        new(
            Sentence.Of("source has changed"),
            0.05,
            s => s.Show(s.Leaving * (1 + 1.5 * s.Random.NextDouble())),
            c =>
                c.InletAgrees is not { } agrees
                    ? (1, Sentence.Of("The raw water was not read near that time."))
                : agrees ? (0.2, Sentence.Of("The raw water was read near that time and was as usual."))
                : (4, Sentence.Of("The raw water was read near that time and was not as usual.")),
            Sentence.Of("Read the raw water and compare it with the last reading there.")
        ),
        new(
            Sentence.Of("spent carbon"),
            0.02,
            s => s.Show(s.Leaving + s.Above(Cube(s.Random))),
            _ =>
                (
                    1,
                    Sentence.Of(
                        "Chlorine that passes the carbon harms the resin; a conductivity meter does not see the chlorine itself."
                    )
                ),
            Sentence.Of("A chlorine strip after the carbon, at the usual flow.")
        ),
        new(
            Sentence.Of("wrong reading"),
            0.05,
            s => s.Random.NextDouble() * 2 * Math.Max(s.Feed, 1),
            c =>
                c.Reading.IsSettled is false ? (4, Sentence.Of("The display was still moving."))
                : c.Reading.IsSettled is true ? (0.7, Sentence.Of("The display had settled."))
                : (1, Sentence.Of("It was not written down whether the display had settled.")),
            Sentence.Of("Rinse the cup three times, wait until the display stands still, and read again.")
        ),
    ];

    /// <summary>A cause: how common it is, what it makes the meter show, what circumstances say of it, and a test.</summary>
    private sealed record Cause(
        Sentence Name,
        double Common,
        Func<Situation, double> Shown,
        Func<Circumstances, (double Factor, Sentence Words)> Speaks,
        Sentence Test
    );

    /// <summary>One member's view of the moment of the reading, in µS/cm.</summary>
    private sealed record Situation(double Leaving, double Feed, double Gain, double Offset, Random Random)
    {
        public double Show(double truth) => Gain * truth + Offset;

        public double Above(double share) => share * Math.Max(Feed - Leaving, 0);
    }

    /// <summary>What was written down about the reading, and what the readings before it say.</summary>
    private sealed record Circumstances(
        FillReading Reading,
        double? FlowRatio,
        bool? InletAgrees,
        double AcidShare
    );

    /// <summary>The causes, the most probable first; none when the outlet was never read.</summary>
    public static ImmutableArray<Explanation> Of(FillCase fill, FillPosterior posterior, int seed)
    {
        FillReading? last = fill.Readings.LastOrDefault(r => r.Side is ReadingSide.Outlet);
        if (last is null)
        {
            return [];
        }

        FillCase earlier = fill with
        {
            Readings = [.. fill.Readings.Where(r => !ReferenceEquals(r, last) && r.Days <= last.Days)],
            Now = last.Days,
        };
        FillPosterior before = FillPosterior.Of(
            earlier,
            posterior.Model.Lives,
            posterior.Members.Length,
            seed
        );
        FillPosterior usual = earlier.Readings.Any(r => IsInletNear(r, last))
            ? FillPosterior.Of(
                earlier with
                {
                    Readings = [.. earlier.Readings.Where(r => !IsInletNear(r, last))],
                },
                posterior.Model.Lives,
                posterior.Members.Length,
                seed
            )
            : before;
        Circumstances circumstances = CircumstancesOf(fill, before, usual, last);
        (double Weight, Sentence Words)[] found =
        [
            .. Causes.Select(
                (c, i) =>
                {
                    (double factor, Sentence words) = c.Speaks(circumstances);
                    return (c.Common * factor * Evidence(c, before, last, seed + i), words);
                }
            ),
        ];
        double sum = found.Sum(f => f.Weight);
        Sentence shown = ShownAgainst(before, last);
        return
        [
            .. Causes
                .Zip(
                    found,
                    (c, f) =>
                        new Explanation(c.Name, f.Weight / sum, Sentence.Join(" ", shown, f.Words), c.Test)
                )
                .OrderByDescending(e => e.Probability),
        ];
    }

    /// <summary>Water that stood between the beads is purer than what flows; water that stood behind them has taken something up.</summary>
    private static double FirstFlush(Situation s) =>
        s.Random.NextDouble() < 0.5
            ? s.Leaving * s.Random.NextDouble()
            : s.Leaving + s.Above(0.15 * s.Random.NextDouble());

    private static double Cube(Random random)
    {
        double x = random.NextDouble();
        return x * x * x;
    }

    private static double Evidence(Cause cause, FillPosterior before, FillReading last, int seed)
    {
        var random = new Random(seed);
        return before.Members.Average(m =>
        {
            var situation = new Situation(
                before.Model.TruthNow(m, ReadingSide.Outlet),
                before.Model.TruthNow(m, ReadingSide.Inlet),
                m.Gain(last.Meter),
                m.Offset(last.Meter),
                random
            );
            return Math.Exp(ReadingModel.LogProbability(last, cause.Shown(situation), situation.Feed));
        });
    }

    private static bool IsInletNear(FillReading reading, FillReading last) =>
        reading.Side is ReadingSide.Inlet && Math.Abs(reading.Days - last.Days) <= 3;

    /// <summary>What else stands around the last reading at the outlet.</summary>
    /// <param name="fill">The fill.</param>
    /// <param name="before">What the readings before the last at the outlet say.</param>
    /// <param name="usual">What they say without those of the inlet near it, which would else bear themselves out.</param>
    /// <param name="last">The last reading at the outlet.</param>
    private static Circumstances CircumstancesOf(
        FillCase fill,
        FillPosterior before,
        FillPosterior usual,
        FillReading last
    )
    {
        FillReading? inlet = fill.Readings.LastOrDefault(r => IsInletNear(r, last));
        bool? agrees = null;
        if (inlet is not null)
        {
            (double mean, double sd) = Expected(usual, inlet);
            agrees = Math.Abs(inlet.Shown - mean) <= 2.5 * Math.Sqrt(sd * sd + 0.05 * mean * 0.05 * mean);
        }

        return new Circumstances(
            last,
            last.Flow is { } flow ? flow.CubicMetersPerSecond / fill.Flow.CubicMetersPerSecond : null,
            agrees,
            before.Members.Average(m => before.Model.Lives[m.Life].IsAcidFirst ? 1.0 : 0)
        );
    }

    private static Sentence ShownAgainst(FillPosterior before, FillReading last)
    {
        (double mean, double sd) = Expected(before, last);
        string shown = FormattableString.Invariant($"{(last.IsBelow ? "<" : "")}{last.Shown:0.#}");
        return Sentence.Of($"It showed {shown} µS/cm where {mean:0.#} ± {sd:0.#} was to be expected.");
    }

    private static (double Mean, double Sd) Expected(FillPosterior before, FillReading reading)
    {
        double[] shown =
        [
            .. before.Members.Select(m =>
                m.Gain(reading.Meter) * before.Model.TruthNow(m, reading.Side) + m.Offset(reading.Meter)
            ),
        ];
        double mean = shown.Average();
        return (mean, Math.Sqrt(shown.Average(s => (s - mean) * (s - mean))));
    }
}
