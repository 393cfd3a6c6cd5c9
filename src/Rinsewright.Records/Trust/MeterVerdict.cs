using System.Globalization;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Records.Trust;

/// <summary>How far a meter can be believed now.</summary>
public enum MeterGrade
{
    /// <summary>Nobody has checked it.</summary>
    Unchecked = 1,

    /// <summary>Its checks agree and find it true within their uncertainty.</summary>
    True = 2,

    /// <summary>Its checks agree that it reads wrong by so much; its readings are corrected.</summary>
    Off = 3,

    /// <summary>Its checks are too old, or lie too far from the change-out line, to say.</summary>
    Stale = 4,

    /// <summary>Its newest check contradicts the others.</summary>
    Contradictory = 5,
}

/// <summary>Whether a meter can be trusted, in words and figures.</summary>
/// <param name="Grade">The answer in short.</param>
/// <param name="Says">The answer in a sentence.</param>
/// <param name="Advice">What to do.</param>
/// <param name="AtLine_uS_cm">What it shows of a true <see cref="MeterTrust.Line_uS_cm"/>, by its own factor [µS/cm].</param>
/// <param name="CheckBy">When its next check is due; nothing when it is due already.</param>
public sealed record MeterVerdict(
    MeterGrade Grade,
    Sentence Says,
    Sentence Advice,
    NormalEstimate AtLine_uS_cm,
    DateTimeOffset? CheckBy
)
{
    // Our choices: how well a meter must be known at the line, and what counts as reading wrong.
    private const double KnownWithin = 0.075;
    private const double OffBeyond = 0.05;
    private const double Clear = 2; // standard deviations
    private const int LongestInterval_days = 365;

    internal static MeterVerdict Of(MeterTrust trust, DateTimeOffset now)
    {
        NormalEstimate atLine = AtLine(trust, now);
        if (trust.Checks.Count == 0)
        {
            return new MeterVerdict(
                MeterGrade.Unchecked,
                Sentence.Of(
                    $"Nobody has checked it: what it shows may be off by {Percent(atLine.StandardDeviation)} % near the change-out line (one standard deviation)."
                ),
                Sentence.Of(
                    "Check it in two reference solutions, one near the line (about 20 µS/cm or 10 ppm) and one near the source."
                ),
                atLine,
                null
            );
        }

        CheckTrust newest = trust.Checks[^1];
        double error = (atLine.Mean / MeterTrust.Line_uS_cm) - 1;
        Sentence high = error >= 0 ? Sentence.Of("high") : Sentence.Of("low");
        DateTimeOffset? due = Due(trust, now);
        if (newest.IsDoubtful)
        {
            return new MeterVerdict(
                MeterGrade.Contradictory,
                Sentence.Of(
                    $"Its newest check lies {Math.Abs(newest.Surprise):0.0} standard deviations from what the others foretell."
                ),
                Sentence.Of(
                    "Rinse the probe, take fresh solution and check again. If it stays so, the meter has jumped: write it as a new meter."
                ),
                atLine,
                null
            );
        }

        if (due is null)
        {
            return new MeterVerdict(
                MeterGrade.Stale,
                Sentence.Of(
                    $"Its checks do not say enough of today: {Percent(atLine.StandardDeviation)} % near the change-out line (one standard deviation)."
                ),
                Sentence.Of("Check it now, best in a solution near the line (about 20 µS/cm or 10 ppm)."),
                atLine,
                null
            );
        }

        bool isOff =
            Math.Abs(error) > OffBeyond
            && Math.Abs(atLine.Mean - MeterTrust.Line_uS_cm) > Clear * atLine.StandardDeviation;
        return isOff
            ? new MeterVerdict(
                MeterGrade.Off,
                Sentence.Of(
                    $"It reads {100 * Math.Abs(error):0} % {high} near the change-out line. Its readings are corrected for that, earlier and later ones too."
                ),
                Sentence.Of("Go by the corrected figures, or adjust it and then write it as a new meter."),
                atLine,
                due
            )
            : new MeterVerdict(
                MeterGrade.True,
                Sentence.Of(
                    $"It reads true near the change-out line, within {Percent(atLine.StandardDeviation)} % (one standard deviation)."
                ),
                Sentence.Of("Nothing to do until its next check."),
                atLine,
                due
            );
    }

    private static NormalEstimate AtLine(MeterTrust trust, DateTimeOffset at) =>
        trust.At(at).Predict(MeterTrust.Line_uS_cm, 0);

    /// <summary>The first day on which too little is known at the line; nothing when that is so already.</summary>
    private static DateTimeOffset? Due(MeterTrust trust, DateTimeOffset now)
    {
        for (int day = 0; day <= LongestInterval_days; day++)
        {
            DateTimeOffset at = now.AddDays(day);
            if (AtLine(trust, at).StandardDeviation > KnownWithin * MeterTrust.Line_uS_cm)
            {
                return day == 0 ? null : at;
            }
        }

        return now.AddDays(LongestInterval_days);
    }

    private static string Percent(double deviation_uS_cm) =>
        (100 * deviation_uS_cm / MeterTrust.Line_uS_cm).ToString("0", CultureInfo.InvariantCulture);
}
